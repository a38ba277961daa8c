#pragma once
// A store to try things on, with one person who has one profile.

#include <doctest/doctest.h>

#include <memory>
#include <string>

#include "core/profile/document.hpp"
#include "core/store/store.hpp"
#include "tests/base/folder.hpp"
#include "tests/profile/sample.hpp"

namespace fettle::store {

/// 2026-01-05 09:00 UTC.
inline constexpr std::int64_t k_start_ms = 1767603600000;

/// Opens or ends the test.
inline std::unique_ptr<Store> opened(const std::string& path, const Clock& clock) {
    auto store = Store::open(path, clock, {0});
    if (!store) FAIL(store.error().where << ": " << store.error().detail);
    return std::move(store).value();
}

/// The sample with another acceptance time: a different, valid content for each number from 0 to 5000.
inline profile::Profile sample_with(int acceptance_ms) {
    profile::Profile changed = profile::sample();
    changed.rule_sets[1].acceptance_ms = acceptance_ms;
    return changed;
}

struct Bench {
    FakeClock clock{k_start_ms};
    std::unique_ptr<Store> store = opened(":memory:", clock);
    std::int64_t person = store->add_person("volunteer").value().id;
    std::int64_t profile = store->add_profile(person, profile::sample()).value().id;
};

template <typename T>
Errc code_of(const Result<T>& result) {
    REQUIRE_FALSE(result.has_value());
    return result.error().code;
}

}  // namespace fettle::store
