// Preloaded into ir-ctl(1), which prints what it would send only after an infrared transmitter was opened:
// makes any file look like one that takes pulses, and no scancodes, so that ir-ctl encodes them itself.
// cc -shared -fPIC -o fake_lirc.so infrared_fake_lirc.c
// Interface: linux/lirc.h; Documentation/userspace-api/media/rc/lirc-func.rst.
#include <errno.h>
#include <linux/lirc.h>
#include <stdarg.h>
#include <stdint.h>

static int answer(unsigned long request, uint32_t *value) {
    switch (request) {
        case LIRC_GET_FEATURES: *value = LIRC_CAN_SEND_PULSE | LIRC_CAN_SET_SEND_CARRIER; return 0;
        case LIRC_SET_SEND_MODE:
            if (*value == LIRC_MODE_PULSE) return 0;
            errno = EINVAL;
            return -1;
        default: return 0;
    }
}

int ioctl(int file, unsigned long request, ...) {
    va_list rest;
    (void)file;
    va_start(rest, request);
    uint32_t *value = va_arg(rest, uint32_t *);
    va_end(rest);
    return answer(request, value);
}
