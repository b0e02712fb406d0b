// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/run_files.h"

#include "app/cli/options.h"
#include "app/cli/output_names.h"

#include <CLI/CLI.hpp>

#include <algorithm>
#include <cstddef>
#include <filesystem>
#include <system_error>
#include <utility>

namespace potwatch::cli {

void addRunFiles(CLI::App& parser, RunFiles& target) {
    addFiles(parser, target.files);
    parser
        .add_option("--batch", target.batch_files,
                    "what is known of the run (TOML); otherwise NAME.batch.toml beside NAME.csv. Once for all files, "
                    "or once for each")
        ->type_name("FILE")
        ->expected(1)
        ->allow_extra_args(false)
        ->multi_option_policy(CLI::MultiOptionPolicy::TakeAll);
    parser.add_option("--channel", target.open.channel, "the column that reads the reacting mass")->type_name("NAME");
    parser.add_option("--thermocouple", target.open.thermocouple, "type behind columns in millivolts: B E J K N R S T")
        ->type_name("TYPE");
    parser
        .add_option("--cold-junction", target.open.cold_junction, "its temperature in °C, or the column that reads it")
        ->type_name("T");
    addImportOptions(parser, target.open.import);
}

std::vector<session::FileToOpen> filesToOpen(const RunFiles& runs) {
    demand("FILE", !runs.files.empty());
    if (runs.batch_files.size() > 1 && runs.batch_files.size() != runs.files.size()) {
        throw CLI::ValidationError("--batch", "give it once for all files, or once for each file in their order");
    }
    std::vector<session::FileToOpen> files;
    for (std::size_t i = 0; i < runs.files.size(); ++i) {
        session::FileToOpen file{.file = runs.files[i], .options = runs.open};
        if (!runs.batch_files.empty()) {
            const bool shared = runs.batch_files.size() == 1;
            file.options.batch_file = runs.batch_files[shared ? 0 : i];
            file.options.shared_batch = shared && runs.files.size() > 1;
        }
        files.push_back(std::move(file));
    }
    return files;
}

void checkOutput(const std::string& option, const std::string& path, const std::vector<std::string>& endings,
                 const RunFiles& runs) {
    if (path.empty()) {
        return;
    }
    if (!endings.empty() && std::find(endings.begin(), endings.end(), endingOf(path)) == endings.end()) {
        throw CLI::ValidationError(option, "\"" + path + "\" must end in one of " + CLI::detail::join(endings, ", "));
    }
    for (const auto* inputs : {&runs.files, &runs.batch_files}) {
        for (const std::string& input : *inputs) {
            std::error_code ignored;
            if (std::filesystem::equivalent(path, input, ignored)) {
                throw CLI::ValidationError(option, "\"" + path + "\" is read as input and would be overwritten");
            }
        }
    }
}

} // namespace potwatch::cli
