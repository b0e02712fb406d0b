// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/book_runs.h"
#include "app/session/progress_part.h"
#include "app/session/run_csv.h"
#include "app/session/whole_file.h"

#include <fmt/format.h>

#include <algorithm>
#include <bit>
#include <cstdint>
#include <filesystem>
#include <optional>
#include <system_error>
#include <utility>

namespace potwatch::session {
namespace {

namespace fs = std::filesystem;

constexpr double reading_share = 0.1;
constexpr double writing_share = 0.6;

Fault stopped(const std::string& path) {
    return {.kind = FaultKind::cancelled, .what = "stopped before it was written", .where = {.file = path}};
}

bool sameBits(const std::vector<double>& a, const std::vector<double>& b) {
    return std::equal(a.begin(), a.end(), b.begin(), b.end(), [](double x, double y) {
        return (x != x && y != y) || std::bit_cast<std::uint64_t>(x) == std::bit_cast<std::uint64_t>(y);
    });
}

// What the importer makes of the table, held against the run itself.
std::vector<std::string> differences(const Run& run, const csv::Table& table) {
    if (!sameBits(table.time_s, run.time_s)) {
        return {table.time_s.size() == run.time_s.size()
                    ? std::string("the times are read back otherwise: they do not begin at 0")
                    : fmt::format("{} of the {} rows are not read back: they hold no value",
                                  run.time_s.size() - std::min(table.time_s.size(), run.time_s.size()),
                                  run.time_s.size())};
    }
    if (table.channels.size() != run.channels.size()) {
        return {fmt::format("{} of {} columns are read back; name them with --columns", table.channels.size(),
                            run.channels.size())};
    }
    std::vector<std::string> found;
    for (std::size_t i = 0; i < run.channels.size(); ++i) {
        const Channel& kept = run.channels[i];
        const Channel& again = table.channels[i];
        if (kept.name != again.name) {
            found.push_back(fmt::format("column \"{}\" is read back as \"{}\"", kept.name, again.name));
        }
        if (kept.unit != again.unit) {
            found.push_back(fmt::format("column \"{}\" in {} is read back in {}; give --unit", kept.name,
                                        kept.unit.empty() ? "no unit" : kept.unit,
                                        again.unit.empty() ? "no unit" : again.unit));
        }
        if (!sameBits(kept.values, again.values)) {
            found.push_back(fmt::format("column \"{}\" holds values that a table cannot hold", kept.name));
        }
    }
    return found;
}

// What is stated of the run, with the name and start that it has in the book; nothing where that is nothing.
std::optional<Batch> batchToWrite(const Run& run, const std::string& stem) {
    Batch batch = run.batch;
    batch.file.clear();
    if (batch.name.empty() && run.name != stem) {
        batch.name = run.name;
    }
    if (!batch.started) {
        batch.started = run.started;
    }
    return batch == Batch() ? std::nullopt : std::optional(std::move(batch));
}

std::vector<std::string> whatFilesCannotSay(const book::StoredRun& stored) {
    std::vector<std::string> said;
    if (!stored.conversion.thermocouple.empty()) {
        said.push_back(fmt::format("give --thermocouple {} --cold-junction {} when the table is imported",
                                   stored.conversion.thermocouple, stored.conversion.cold_junction));
    }
    const auto note = [&](bool there, std::string_view what) {
        if (there) {
            said.push_back(fmt::format("{} only in the book: a table and a batch file have no place for them", what));
        }
    };
    note(!stored.run.overrides.empty(), "the landmarks put by hand stay");
    note(!stored.run.annotations.empty(), "the annotations stay");
    note(!stored.tags.empty(), "the tags stay");
    return said;
}

class Export {
public:
    Export(std::string folder, const std::string& stem)
        : folder_(std::move(folder))
        , stem_(stem) {}

    [[nodiscard]] std::string pathOf(const std::string& name) const { return (fs::path(folder_) / name).string(); }
    [[nodiscard]] std::string table() const { return pathOf(stem_ + ".csv"); }
    [[nodiscard]] std::string batchFile() const { return pathOf(stem_ + ".batch.toml"); }

    // What lies there already may be somebody's recording.
    [[nodiscard]] static Result<void> checkFree(const std::string& path) {
        std::error_code ignored;
        if (fs::exists(path, ignored)) {
            return tl::unexpected(Fault{.kind = FaultKind::input,
                                        .what = "is there already, and nothing is overwritten",
                                        .where = {.file = path},
                                        .remedy = "export into another folder"});
        }
        return {};
    }

    [[nodiscard]] Result<void> write(const std::string& path, std::string_view content) {
        return checkFree(path).and_then([&] { return writeWholeFile(path, content); }).map([&] {
            exported.written.push_back(path);
        });
    }

    // After a fault nothing half done stays behind.
    void takeBack() {
        std::error_code ignored;
        for (const std::string& path : exported.written) {
            fs::remove(path, ignored);
        }
    }

    Exported exported;

private:
    std::string folder_;
    std::string stem_;
};

Result<void> writePhotos(book::Book& book, const book::RunId& id, Export& out) {
    return book.photoNames(id).and_then([&](const std::vector<std::string>& names) {
        Result<void> done;
        for (const std::string& name : names) {
            done = book.photo(id, name).and_then([&](const book::Photo& photo) {
                return out.write(out.pathOf(fs::path(name).filename().string()), photo.bytes);
            });
            if (!done) {
                break;
            }
        }
        return done;
    });
}

Result<void> writeAll(book::Book& book, const book::StoredRun& stored, const std::string& stem, Export& out,
                      const Progress& progress, const std::stop_token& stop) {
    const std::string text = runCsv(stored.run, partOf(progress, reading_share, writing_share), stop);
    if (stop.stop_requested()) {
        return tl::unexpected(stopped(out.table()));
    }
    Result<void> done = out.write(out.table(), text);
    if (const std::optional<Batch> batch = batchToWrite(stored.run, stem); done && batch) {
        done = out.write(out.batchFile(), batch::write(*batch));
    }
    if (done) {
        done = writePhotos(book, stored.id, out);
    }
    if (!done) {
        return done;
    }
    const Progress checking = partOf(progress, reading_share + writing_share, 1.0 - reading_share - writing_share);
    const Result<csv::Table> again = readTable(out.table(), {}, checking, stop);
    std::vector<std::string>& warnings = out.exported.warnings;
    if (stop.stop_requested()) {
        return tl::unexpected(stopped(out.table()));
    }
    warnings = again ? differences(stored.run, *again)
                     : std::vector<std::string>{"the table cannot be imported again: " + again.error().what};
    for (std::string& said : whatFilesCannotSay(stored)) {
        warnings.push_back(std::move(said));
    }
    return {};
}

} // namespace

Result<Exported> exportRun(book::Book& book, const book::RunId& id, const std::string& folder, const std::string& stem,
                           const Progress& progress, std::stop_token stop) {
    Export out(folder, stem);
    for (const std::string& path : {out.table(), out.batchFile()}) {
        if (Result<void> is_free = Export::checkFree(path); !is_free) {
            return tl::unexpected(std::move(is_free.error()));
        }
    }
    const Result<book::StoredRun> stored = book.read(id, partOf(progress, 0.0, reading_share), stop);
    if (!stored) {
        return tl::unexpected(stored.error());
    }
    if (Result<void> done = writeAll(book, *stored, stem, out, progress, stop); !done) {
        out.takeBack();
        return tl::unexpected(std::move(done.error()));
    }
    return std::move(out.exported);
}

} // namespace potwatch::session
