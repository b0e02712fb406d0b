// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/run_files.h"

#include "app/cli/options.h"

#include <CLI/CLI.hpp>

#include <cstddef>
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

std::vector<std::string> inputsOf(const RunFiles& runs) {
    std::vector<std::string> inputs = runs.files;
    inputs.insert(inputs.end(), runs.batch_files.begin(), runs.batch_files.end());
    for (const std::string& file : runs.files) {
        if (const std::string beside = session::batchFileBeside(file); !beside.empty()) {
            inputs.push_back(beside);
        }
    }
    return inputs;
}

} // namespace potwatch::cli
