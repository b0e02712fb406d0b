// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/book_list.h"
#include "io/book/book.h"

#include <cstddef>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace potwatch::session {

// An open book with its rows in memory, and which of their findings are out of date.
// Threads: one at a time.
class Store {
public:
    struct OpenedStore {
        std::unique_ptr<Store> store;
        std::vector<std::string> notices;
        std::optional<Fault> not_writable; // it was to be written to, but can only be read: why
    };

    // Falls back to reading where the book or its folder cannot be written to.
    [[nodiscard]] static Result<OpenedStore> open(const std::string& path, book::Access access);

    [[nodiscard]] book::Book& book() { return book_; }
    [[nodiscard]] const std::vector<book::RunRow>& rows() const { return rows_; }
    [[nodiscard]] std::optional<std::size_t> indexOf(const book::RunId& id) const;

    // For the window: the rows without the findings' text.
    [[nodiscard]] std::shared_ptr<const std::vector<ListedRun>> listed() const;

    // Reads all rows again, or one of them.
    [[nodiscard]] Result<void> readAll();
    [[nodiscard]] Result<void> readRow(const book::RunId& id);
    // Whether another process has changed the book since the rows were read; then they are read again.
    [[nodiscard]] Result<bool> follow();

    // Keeps findings made under that key (findingsKey). In a book that is open for reading they are kept until it is
    // closed.
    void keepFindings(const book::RunId& id, int analysis_version, std::string json, const std::string& key);
    // Whether it has findings of this analysis that were made under that key.
    [[nodiscard]] bool hasFindings(const book::RunId& id, const std::string& key) const;
    // That run could not be analysed under that key: it is not tried again.
    void giveUp(const book::RunId& id, const std::string& key);
    // The runs whose findings are missing, of an older analysis, or made of other notes than the present ones.
    [[nodiscard]] std::vector<book::RunId> outOfDate() const;

private:
    explicit Store(book::Book book)
        : book_(std::move(book)) {}

    [[nodiscard]] const std::string& findingsOf(const book::RunRow& row) const;
    void list(std::size_t row);

    book::Book book_;
    std::int64_t revision_ = 0;
    std::vector<book::RunRow> rows_;
    std::vector<ListedRun> listed_; // as rows_
    std::map<book::RunId, std::string> unsaved_findings_;
    std::map<book::RunId, std::string> given_up_;
};

} // namespace potwatch::session
