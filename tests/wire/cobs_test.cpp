#include "core/wire/cobs.hpp"

#include <doctest/doctest.h>
#include <rapidcheck.h>

#include <algorithm>
#include <vector>

using namespace fettle::wire;

namespace {

using Bytes = std::vector<uint8_t>;

Bytes run(int from, int to) {
    Bytes bytes;
    for (int i = from; i <= to; ++i) bytes.push_back(static_cast<uint8_t>(i));
    return bytes;
}

Bytes operator+(Bytes a, const Bytes& b) {
    a.insert(a.end(), b.begin(), b.end());
    return a;
}

Bytes encode(const Bytes& data) {
    Bytes to(cobs_room(data.size()));
    to.resize(cobs_encode(data.data(), data.size(), to.data()));
    return to;
}

bool decodes_to(const Bytes& encoded, const Bytes& data) {
    Bytes to(encoded.size());
    size_t size = 0;
    if (!cobs_decode(encoded.data(), encoded.size(), to.data(), to.size(), size)) return false;
    to.resize(size);
    return to == data;
}

struct Row {
    Bytes data, encoded;
};

// Source: worked examples of Consistent Overhead Byte Stuffing as documentation pages print them; all rows
// encoded and decoded with the npm package cobs 0.2.1.
const std::vector<Row> k_rows = {
    {{}, {0x01}},
    {{0x00}, {0x01, 0x01}},
    {{0x00, 0x00}, {0x01, 0x01, 0x01}},
    {{0x00, 0x11, 0x00}, {0x01, 0x02, 0x11, 0x01}},
    {{0x11, 0x22, 0x00, 0x33}, {0x03, 0x11, 0x22, 0x02, 0x33}},
    {{0x11, 0x22, 0x33, 0x44}, {0x05, 0x11, 0x22, 0x33, 0x44}},
    {{0x11, 0x00, 0x00, 0x00}, {0x02, 0x11, 0x01, 0x01, 0x01}},
    {{0x11, 0x00, 0x22, 0x00}, {0x02, 0x11, 0x02, 0x22, 0x01}},
    {run(1, 254), Bytes{0xFF} + run(1, 254)},
    {Bytes{0} + run(1, 254), Bytes{0x01, 0xFF} + run(1, 254)},
    {run(1, 255), Bytes{0xFF} + run(1, 254) + Bytes{0x02, 0xFF}},
    {run(2, 255) + Bytes{0}, Bytes{0xFF} + run(2, 255) + Bytes{0x01, 0x01}},
    {run(3, 255) + Bytes{0, 1}, Bytes{0xFE} + run(3, 255) + Bytes{0x02, 0x01}},
};

}  // namespace

TEST_CASE("cobs: 13 published vectors encode and decode") {
    for (size_t i = 0; i < k_rows.size(); ++i) {
        CAPTURE(i);
        CHECK(encode(k_rows[i].data) == k_rows[i].encoded);
        CHECK(decodes_to(k_rows[i].encoded, k_rows[i].data));
    }
}

TEST_CASE("cobs: a run of 254 at the end decodes with and without the trailing 01") {
    CHECK(decodes_to(Bytes{0xFF} + run(1, 254) + Bytes{0x01}, run(1, 254)));
    CHECK(decodes_to(Bytes{0x01, 0xFF} + run(1, 254) + Bytes{0x01}, Bytes{0} + run(1, 254)));
}

TEST_CASE("cobs: a zero inside, a run past the end and no byte at all are refused") {
    CHECK_FALSE(decodes_to({0x03, 0x11, 0x00}, {}));
    CHECK_FALSE(decodes_to({0x05, 0x11, 0x22}, {}));
    CHECK_FALSE(decodes_to({0xFF, 0x11}, {}));
    CHECK_FALSE(decodes_to({}, {}));
}

TEST_CASE("cobs: more data than there is room for is refused, exactly enough is not") {
    const Bytes encoded = {0x05, 0x11, 0x22, 0x33, 0x44};
    uint8_t to[4];
    size_t size = 0;
    CHECK(cobs_decode(encoded.data(), encoded.size(), to, 4, size));
    CHECK_FALSE(cobs_decode(encoded.data(), encoded.size(), to, 3, size));
}

TEST_CASE("cobs: any data comes back, has no zero, and grows by one byte and one more each begun 254") {
    CHECK(rc::check([](const Bytes& data) {
        const Bytes encoded = encode(data);
        RC_ASSERT(std::count(encoded.begin(), encoded.end(), 0) == 0);
        RC_ASSERT(encoded.size() <= 1 + data.size() + data.size() / 254);
        RC_ASSERT(decodes_to(encoded, data));
    }));
    for (int length = 0; length <= 1100; ++length) {  // runs without a zero, around every multiple of 254
        const Bytes data(static_cast<size_t>(length), 0x55);
        CAPTURE(length);
        REQUIRE(decodes_to(encode(data), data));
    }
}
