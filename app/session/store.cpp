// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/store.h"

#include "analysis/values/findings.h"
#include "app/session/vessel_mates.h"

#include <nlohmann/json.hpp>

#include <algorithm>
#include <utility>

namespace potwatch::session {
namespace {

constexpr const char* key_name = "made_of";

std::string keyOf(const std::string& findings) {
    const nlohmann::json parsed = nlohmann::json::parse(findings, nullptr, false);
    if (!parsed.is_object()) {
        return {};
    }
    const auto found = parsed.find(key_name);
    return found != parsed.end() && found->is_string() ? found->get<std::string>() : std::string();
}

std::string withKey(const std::string& findings, const std::string& key) {
    nlohmann::ordered_json parsed = nlohmann::ordered_json::parse(findings, nullptr, false);
    if (!parsed.is_object()) {
        return findings;
    }
    parsed[key_name] = key;
    return parsed.dump();
}

} // namespace

Result<Store::OpenedStore> Store::open(const std::string& path, book::Access access) {
    Result<book::Opened> opened = book::Book::open(path, access);
    std::optional<Fault> not_writable;
    if (!opened && access != book::Access::read && opened.error().kind == FaultKind::storage) {
        if (Result<book::Opened> to_read = book::Book::open(path, book::Access::read)) {
            not_writable = std::move(opened.error());
            opened = std::move(to_read);
        }
    }
    if (!opened) {
        return tl::unexpected(std::move(opened.error()));
    }
    OpenedStore result;
    result.store.reset(new Store(std::move(opened->book)));
    result.notices = std::move(opened->notices);
    if (access != book::Access::read && result.store->book_.isReadOnly() && !not_writable) {
        not_writable = Fault{
            .kind = FaultKind::storage, .what = "may be read, but not changed", .where = {.file = path}, .remedy = {}};
    }
    result.not_writable = std::move(not_writable);
    if (Result<void> read = result.store->readAll(); !read) {
        return tl::unexpected(std::move(read.error()));
    }
    return result;
}

std::optional<std::size_t> Store::indexOf(const book::RunId& id) const {
    const auto found = std::find_if(rows_.begin(), rows_.end(), [&](const book::RunRow& row) { return row.id == id; });
    return found == rows_.end() ? std::nullopt : std::optional(static_cast<std::size_t>(found - rows_.begin()));
}

std::shared_ptr<const std::vector<ListedRun>> Store::listed() const {
    return std::make_shared<const std::vector<ListedRun>>(listed_);
}

const std::string& Store::findingsOf(const book::RunRow& row) const {
    const auto unsaved = unsaved_findings_.find(row.id);
    return unsaved == unsaved_findings_.end() ? row.findings : unsaved->second;
}

void Store::list(std::size_t row) {
    book::RunRow shown = rows_[row];
    shown.findings = findingsOf(rows_[row]);
    listed_[row] = listedRun(std::move(shown));
    listed_[row].row.findings.clear();
}

Result<void> Store::readAll() {
    const Result<std::int64_t> revision = book_.revision();
    Result<std::vector<book::RunRow>> rows = book_.list();
    if (!revision || !rows) {
        return tl::unexpected(revision ? rows.error() : revision.error());
    }
    revision_ = *revision;
    rows_ = std::move(*rows);
    listed_.resize(rows_.size());
    for (std::size_t i = 0; i < rows_.size(); ++i) {
        list(i);
    }
    return {};
}

Result<void> Store::readRow(const book::RunId& id) {
    const std::optional<std::size_t> at = indexOf(id);
    if (!at) {
        return readAll();
    }
    Result<book::RunRow> row = book_.row(id);
    if (!row) {
        return tl::unexpected(std::move(row.error()));
    }
    rows_[*at] = std::move(*row);
    list(*at);
    return {};
}

Result<bool> Store::follow() {
    const Result<std::int64_t> revision = book_.revision();
    if (!revision) {
        return tl::unexpected(revision.error());
    }
    if (*revision == revision_) {
        return false;
    }
    const std::vector<book::RunRow> before = rows_;
    if (Result<void> read = readAll(); !read) {
        return tl::unexpected(std::move(read.error()));
    }
    return rows_ != before;
}

void Store::keepFindings(const book::RunId& id, int analysis_version, std::string json, const std::string& key) {
    const std::string with_key = withKey(json, key);
    const std::optional<std::size_t> at = indexOf(id);
    if (!at) {
        return;
    }
    // They can be made again: where they cannot be kept, that is no fault worth a word.
    if (!book_.isReadOnly() && book_.keepFindings(id, analysis_version, with_key)) {
        unsaved_findings_.erase(id);
        rows_[*at].findings = with_key;
        rows_[*at].findings_version = analysis_version;
    } else {
        unsaved_findings_[id] = with_key;
    }
    list(*at);
}

bool Store::hasFindings(const book::RunId& id, const std::string& key) const {
    const std::optional<std::size_t> at = indexOf(id);
    if (!at) {
        return false;
    }
    const std::string& findings = findingsOf(rows_[*at]);
    const bool unsaved = unsaved_findings_.contains(id);
    return !findings.empty() && (unsaved || rows_[*at].findings_version >= analysis_version) && keyOf(findings) == key;
}

void Store::giveUp(const book::RunId& id, const std::string& key) {
    given_up_[id] = key;
}

std::vector<book::RunId> Store::outOfDate() const {
    std::vector<book::RunId> ids;
    for (std::size_t i = 0; i < rows_.size(); ++i) {
        const book::RunRow& row = rows_[i];
        if (row.withdrawn || row.state == book::RunState::recording) {
            continue;
        }
        const std::string key = findingsKey(rows_, i);
        const auto given_up = given_up_.find(row.id);
        if (given_up != given_up_.end() && given_up->second == key) {
            continue;
        }
        if (!hasFindings(row.id, key)) {
            ids.push_back(row.id);
        }
    }
    return ids;
}

} // namespace potwatch::session
