// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/demo_folder.h"

#include "app/session/whole_file.h"

#include <fmt/format.h>

#include <filesystem>
#include <system_error>

namespace potwatch::cli {
namespace {

namespace fs = std::filesystem;

constexpr const char* marker_file = "about-this-folder.txt"; // by which a later demo knows the folder for its own

constexpr std::string_view about =
    R"(This folder was written by `potwatch demo`. Running the demo again overwrites its files.
The data are invented: seven castings of rod stock, each dosed with acid at another rate, and hot water
cooling in the same vessel. They say nothing of a real resin.

data/          what a logger would have written, and the batch files beside it
plots/         each run with its landmarks
series/        time, temperature, rate, heat and degree of cure of each run
report.html    all runs: inputs, findings with uncertainty, plots, warnings
report.pdf     the same, to print
findings.json  the findings for other programs
compare.svg    the runs laid over each other, and peak against dosing rate with the rate at 95 °C
compare.csv    the table of all figures
)";

bool isFree(const fs::path& folder) {
    std::error_code ignored;
    return !fs::exists(folder, ignored) || (fs::is_directory(folder, ignored) && fs::is_empty(folder, ignored)) ||
           fs::exists(folder / marker_file, ignored);
}

} // namespace

Result<std::string> demoFolder(const std::string& asked) {
    fs::path folder = asked.empty() ? fs::path(default_demo_folder) : fs::path(asked);
    if (!asked.empty() && !isFree(folder)) {
        return tl::unexpected(Fault{.kind = FaultKind::input,
                                    .what = "holds files that no demo wrote",
                                    .where = {.file = asked},
                                    .remedy = "name a new folder"});
    }
    for (int number = 2; !isFree(folder); ++number) {
        folder = fmt::format("{}-{}", default_demo_folder, number);
    }
    for (const fs::path& part : {folder, folder / "data", folder / "plots", folder / "series"}) {
        std::error_code error;
        fs::create_directories(part, error);
        if (error) {
            return tl::unexpected(Fault{.kind = FaultKind::storage,
                                        .what = "cannot be made: " + error.message(),
                                        .where = {.file = part.string()},
                                        .remedy = "name a folder where you may write"});
        }
    }
    return session::writeWholeFile((folder / marker_file).string(), about).map([&] { return folder.string(); });
}

} // namespace potwatch::cli
