#pragma once
// A growing row of plain values in blocks of one size: nothing is copied when it grows, and at most one block
// is not full. Owned by one thread.

#include <cstddef>
#include <memory>
#include <utility>
#include <vector>

namespace fettle::trace {

/// k_block: values a block, a power of two.
template <typename T, std::size_t k_block>
class Pile {
    static_assert((k_block & (k_block - 1)) == 0, "a power of two");

public:
    Pile() = default;
    Pile(Pile&& other) noexcept
        : blocks_(std::move(other.blocks_)), size_(std::exchange(other.size_, std::size_t{0})) {}
    Pile& operator=(Pile&& other) noexcept {
        blocks_ = std::move(other.blocks_);
        size_ = std::exchange(other.size_, std::size_t{0});
        return *this;
    }

    void push(const T& value) {
        if (size_ == blocks_.size() * k_block) blocks_.push_back(std::make_unique<T[]>(k_block));
        blocks_[size_ / k_block][size_ % k_block] = value;
        ++size_;
    }
    const T& operator[](std::size_t i) const { return blocks_[i / k_block][i % k_block]; }
    /// The values from i on that lie in one piece, up to the end of their block.
    const T* piece(std::size_t i) const { return &blocks_[i / k_block][i % k_block]; }
    static std::size_t piece_size(std::size_t i) { return k_block - i % k_block; }
    const T& last() const { return (*this)[size_ - 1]; }

    std::size_t size() const { return size_; }
    bool is_empty() const { return size_ == 0; }
    std::size_t bytes_used() const {
        return blocks_.size() * k_block * sizeof(T) + blocks_.capacity() * sizeof(blocks_[0]);
    }

private:
    std::vector<std::unique_ptr<T[]>> blocks_;
    std::size_t size_ = 0;
};

}  // namespace fettle::trace
