#pragma once
// A picture of each screen, on a simulated device that somebody works: the same every time.

#include <string>
#include <vector>

#include "app/ui/options.hpp"
#include "core/base/result.hpp"

namespace fettle::app {

/// Makes the folder, opens a window for as long as it takes, writes NAME.png for each screen into the folder.
/// Nothing of the person's is read or changed. Gives the files' paths. Errors: those of Shell::open, of
/// find_asset (the demo profile), of save_png; timed_out (the device was not worked as planned: a bug).
Result<std::vector<std::string>> save_pictures(const std::string& folder, const ui::Options& options,
                                               const std::vector<std::string>& asset_folders);

}  // namespace fettle::app
