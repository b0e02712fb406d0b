// SPDX-License-Identifier: GPL-3.0-or-later
// The library's exports, on the keeper's thread.
#include "app/session/book_runs.h"
#include "app/session/file_name.h"
#include "app/session/library_parts.h"
#include "app/session/progress_part.h"
#include "app/session/whole_file.h"
#include "io/batch/batch_file.h"

#include <fmt/format.h>

#include <filesystem>
#include <system_error>
#include <utility>

namespace potwatch::session {
namespace {

// "rod-04", or "rod-04-2" where there is a table of that name already.
std::string freeStem(const std::string& folder, const std::string& name) {
    const std::string stem = asFileName(name);
    std::string free = stem;
    std::error_code ignored;
    for (int number = 2; std::filesystem::exists(folder + '/' + free + ".csv", ignored) ||
                         std::filesystem::exists(folder + '/' + free + ".batch.toml", ignored);
         ++number) {
        free = fmt::format("{}-{}", stem, number);
    }
    return free;
}

} // namespace

News Library::Parts::exportRun(const book::RunId& id, const std::string& csv, const std::stop_token& stop) {
    if (!store) {
        return Done{};
    }
    const std::filesystem::path path(csv);
    const Progress progress = workingProgress();
    Result<Exported> written =
        session::exportRun(store->book(), id, path.parent_path().string(), path.stem().string(), progress, stop);
    if (!written) {
        return Failed{.what = "the run was not exported", .fault = std::move(written.error())};
    }
    return Done{.what = "exported to " + csv};
}

News Library::Parts::exportRuns(const std::vector<book::RunId>& ids, const std::string& folder,
                                const std::stop_token& stop) {
    const Progress progress = workingProgress();
    const double share = 1.0 / static_cast<double>(std::max<std::size_t>(ids.size(), 1));
    std::size_t done = 0;
    for (const book::RunId& id : ids) {
        const std::optional<std::size_t> at = store ? store->indexOf(id) : std::nullopt;
        if (!at || stop.stop_requested()) {
            break;
        }
        const Progress mine = partOf(progress, share * static_cast<double>(done), share);
        Result<Exported> written =
            session::exportRun(store->book(), id, folder, freeStem(folder, store->rows()[*at].name), mine, stop);
        if (!written) {
            return Failed{.what = "not all runs were exported", .fault = std::move(written.error())};
        }
        ++done;
    }
    return Done{.what = fmt::format("{} exported to {}", done == 1 ? "1 run" : fmt::format("{} runs", done), folder)};
}

void Library::Parts::exportBatch(const book::RunId& id, const std::string& file) {
    const std::optional<std::size_t> at = store ? store->indexOf(id) : std::nullopt;
    if (!at) {
        return;
    }
    if (Result<void> written = writeWholeFile(file, batch::write(store->rows()[*at].notes.batch)); written) {
        tell(Done{.what = "exported to " + file});
    } else {
        tell(Failed{.what = "the batch file was not written", .fault = std::move(written.error())});
    }
}

} // namespace potwatch::session
