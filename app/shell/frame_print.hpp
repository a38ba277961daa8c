#pragma once
// A number that two frames share when they would look the same, so that a frame that changes nothing is not
// drawn again: software rendering is most of what an idle window costs.

#include <cstddef>
#include <cstdint>

struct ImDrawData;

namespace fettle::app {

/// Joins bytes to a number so far. Source: FNV-1a, 64 bits (Fowler, Noll, Vo), taken 8 bytes at a time; the
/// constants are theirs, from memory. Not against anybody who wants two pictures to collide.
std::uint64_t print_of(std::uint64_t so_far, const void* bytes, std::size_t count);

/// Of everything that the renderer draws from: vertices, indices, clips, textures, sizes.
std::uint64_t print_of(const ImDrawData& data);

}  // namespace fettle::app
