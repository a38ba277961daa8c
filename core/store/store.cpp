#include "core/store/store.hpp"

#include "core/store/inside.hpp"

namespace fettle::store {

Store::Store(std::unique_ptr<Inside> inside) : inside_(std::move(inside)) {}
Store::~Store() = default;

Result<std::unique_ptr<Store>> Store::open(const std::string& path, const Clock& clock,
                                           const StoreOptions& options) {
    auto file = File::open(path, options.busy_timeout_ms);
    if (!file) return file.failure();
    return std::unique_ptr<Store>(
        new Store(std::unique_ptr<Inside>(new Inside{std::move(file).value(), clock})));
}

}  // namespace fettle::store
