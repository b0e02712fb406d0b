// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/commands.h"
#include "app/cli/options.h"
#include "app/cli/output.h"
#include "app/session/sample_data.h"

#include <CLI/CLI.hpp>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <memory>
#include <string>
#include <system_error>
#include <unistd.h>
#include <vector>

namespace potwatch::cli {
namespace {

namespace fs = std::filesystem;

struct Wanted {
    std::string folder;
    bool json = false;
};

bool sameContent(const fs::path& a, const fs::path& b) {
    std::ifstream first(a, std::ios::binary);
    std::ifstream second(b, std::ios::binary);
    return std::equal(std::istreambuf_iterator<char>(first), {}, std::istreambuf_iterator<char>(second), {});
}

Fault storageFault(const fs::path& path, const std::error_code& error) {
    return {.kind = FaultKind::storage,
            .what = "cannot be written: " + error.message(),
            .where = {.file = path.string()},
            .remedy = "name a folder where you may write"};
}

// Moves the files into the folder, unless one of them would replace another of that name.
Result<std::vector<std::string>> moveInto(const fs::path& folder, const std::vector<std::string>& files) {
    std::error_code error;
    for (const fs::path file : files) {
        const fs::path target = folder / file.filename();
        if (fs::exists(target, error) && !sameContent(file, target)) {
            return tl::unexpected(Fault{.kind = FaultKind::input,
                                        .what = "is there already, and is not the sample data's",
                                        .where = {.file = target.string()},
                                        .remedy = "name a new folder"});
        }
    }
    fs::create_directories(folder, error);
    std::vector<std::string> moved;
    for (const fs::path file : files) {
        const fs::path target = folder / file.filename();
        if (!error) {
            fs::rename(file, target, error);
        }
        if (error) {
            return tl::unexpected(storageFault(target, error));
        }
        moved.push_back(target.string());
    }
    return moved;
}

// The files are made beside the folder first, so that a person's own files in it are never lost.
Result<std::vector<std::string>> writeWithCare(const std::string& folder) {
    fs::path target(folder);
    target = target.has_filename() ? target : target.parent_path(); // "sample-data/" is "sample-data"
    const fs::path made = target.string() + "." + std::to_string(::getpid()) + ".part";
    Result<std::vector<std::string>> written = session::writeSampleData(made.string());
    if (written) {
        written = moveInto(target, *written);
    }
    std::error_code ignored;
    fs::remove_all(made, ignored);
    return written;
}

ExitCode runDemoData(const Wanted& wanted) {
    using Json = nlohmann::ordered_json;
    const Result<std::vector<std::string>> written = writeWithCare(wanted.folder);
    std::vector<Fault> faults;
    if (!written) {
        faults.push_back(written.error());
    }
    const std::vector<std::string> files = written ? *written : std::vector<std::string>();
    if (wanted.json) {
        return finish(
            printJson(
                Json{{"format", 1}, {"folder", wanted.folder}, {"written", files}, {"faults", faultsJson(faults)}}),
            faults);
    }
    std::string text;
    for (const std::string& file : files) {
        text += "Written: " + file + "\n";
    }
    return finish(printText(text), faults);
}

} // namespace

Command addDemoData(CLI::App& program) {
    const auto wanted = std::make_shared<Wanted>();
    CLI::App* parser =
        program.add_subcommand("demo-data", "write the sample data: invented runs with their batch files")
            ->group("Commands");
    parser->add_option("FOLDER", wanted->folder, "where to; it is made if need be")->type_name("");
    addJson(*parser, wanted->json);
    parser->footer("Example:\n  potwatch demo-data sample-data");
    const auto run = [wanted] {
        demand("FOLDER", !wanted->folder.empty());
        return runDemoData(*wanted);
    };
    return {.parser = parser, .run = run};
}

} // namespace potwatch::cli
