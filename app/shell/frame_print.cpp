#include "app/shell/frame_print.hpp"

#include <imgui.h>

#include <cstring>

namespace fettle::app {

namespace {

constexpr std::uint64_t k_start = 0xCBF29CE484222325u;
constexpr std::uint64_t k_prime = 0x100000001B3u;

template <typename Value>
std::uint64_t join(std::uint64_t so_far, const Value& value) {
    return print_of(so_far, &value, sizeof value);
}

template <typename Item>
std::uint64_t join_all(std::uint64_t so_far, const ImVector<Item>& items) {
    return print_of(so_far, items.Data, static_cast<std::size_t>(items.Size) * sizeof(Item));
}

}  // namespace

std::uint64_t print_of(std::uint64_t so_far, const void* bytes, std::size_t count) {
    const auto* from = static_cast<const unsigned char*>(bytes);
    const std::uint64_t whole = count;
    so_far = (so_far ^ whole) * k_prime;
    while (count > 0) {
        std::uint64_t word = 0;
        const std::size_t taken = count < sizeof word ? count : sizeof word;
        std::memcpy(&word, from, taken);
        so_far = (so_far ^ word) * k_prime;
        so_far ^= so_far >> 29;  // eight bytes at a time need their upper bits carried down
        from += taken;
        count -= taken;
    }
    return so_far;
}

std::uint64_t print_of(const ImDrawData& data) {
    std::uint64_t print = join(join(k_start, data.DisplayPos), data.DisplaySize);
    for (int i = 0; i < data.CmdListsCount; ++i) {
        const ImDrawList& list = *data.CmdLists[i];
        print = join_all(join_all(print, list.VtxBuffer), list.IdxBuffer);
        for (const ImDrawCmd& command : list.CmdBuffer) {
            print = join(join(print, command.ClipRect), command.ElemCount);
            print = join(join(print, command.VtxOffset), command.IdxOffset);
            print = join(print, command.TextureId);
        }
    }
    return print;
}

}  // namespace fettle::app
