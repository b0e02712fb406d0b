// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/book_actions.h"
#include "app/cli/commands.h"
#include "app/cli/options.h"

#include <CLI/CLI.hpp>

#include <memory>
#include <utility>

namespace potwatch::cli {
namespace {

CLI::App* addList(CLI::App& book, BookWanted& wanted) {
    CLI::App* parser = book.add_subcommand("list", "list the runs of the book, oldest first")->group("Actions");
    parser->add_flag("--all", wanted.withdrawn, "those that were deleted too: they stay in the book, marked");
    parser->footer("Example:\n  potwatch book rods.potbook list --json");
    return parser;
}

CLI::App* addImport(CLI::App& book, BookWanted& wanted) {
    CLI::App* parser =
        book.add_subcommand("import", "put tables into the book, with their batch files and photos; it is made where "
                                      "there is none. Samples that are in it already are noticed")
            ->group("Actions");
    addRunFiles(*parser, wanted.import);
    parser->footer("Example:\n  potwatch book rods.potbook import rod-01.csv rod-02.csv");
    return parser;
}

CLI::App* addExport(CLI::App& book, BookWanted& wanted) {
    CLI::App* parser =
        book.add_subcommand("export", "write runs as NAME.csv, NAME.batch.toml and photos, which import back to the "
                                      "same run; nothing is overwritten")
            ->group("Actions");
    parser->add_option("RUN", wanted.runs, "runs by their names or UUIDs; all where none is named")->type_name("");
    parser->add_option("--into", wanted.into, "the folder to write to; it is made if need be")->type_name("FOLDER");
    parser->footer("Example:\n  potwatch book rods.potbook export \"rod 03\" --into handed-on");
    return parser;
}

CLI::App* addCheck(CLI::App& book, BookWanted& wanted) {
    CLI::App* parser =
        book.add_subcommand("check", "look through the whole book and list every fault in it; exit 1 if there is one")
            ->group("Actions");
    parser
        ->add_option("--repaired", wanted.repaired,
                     "write a new book with all that can still be read; the damaged one is left as it is")
        ->type_name("COPY");
    parser->footer("Example:\n  potwatch book rods.potbook check --repaired rods-2.potbook");
    return parser;
}

} // namespace

Command addBook(CLI::App& program) {
    const auto wanted = std::make_shared<BookWanted>();
    CLI::App* parser =
        program.add_subcommand("book", "list, import, export and check runs in a batch book, one file that keeps them")
            ->group("Commands");
    parser->add_option("FILE", wanted->book, "the book; its name usually ends in .potbook")->type_name("");
    parser->require_subcommand(0, 1);
    const std::vector<std::pair<CLI::App*, ExitCode (*)(const BookWanted&)>> actions{
        {addList(*parser, *wanted), listBook},
        {addImport(*parser, *wanted), importIntoBook},
        {addExport(*parser, *wanted), exportFromBook},
        {addCheck(*parser, *wanted), checkBook}};
    for (const auto& action : actions) {
        addJson(*action.first, wanted->json);
    }
    parser->footer("Example:\n  potwatch book rods.potbook import rod-01.csv rod-02.csv\n"
                   "  potwatch book rods.potbook list\n"
                   "`potwatch book ACTION --help` says more.");
    const auto run = [wanted, actions] {
        demand("FILE", !wanted->book.empty());
        for (const auto& action : actions) {
            if (action.first->parsed()) {
                return action.second(*wanted);
            }
        }
        throw CLI::RequiredError("list, import, export or check");
    };
    return {.parser = parser, .run = run};
}

} // namespace potwatch::cli
