// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/book/settle.h"

#include <fmt/format.h>

#include <utility>

namespace potwatch::book {
namespace {

std::string describeLosses(const Log& log) {
    if (log.changesLost() == 0) {
        return fmt::format("the log beside the book is cut off: {} of its pages are missing", log.framesCutOff());
    }
    return fmt::format("the log beside the book is damaged: {} of its {} changes could not be recovered",
                       log.changesLost(), log.changes()) +
           (log.framesCutOff() > 0 ? fmt::format(", and {} of its pages are cut off", log.framesCutOff())
                                   : std::string());
}

std::string describeStranger(const LogVerdict& verdict) {
    return verdict.log->usable() > 0 ? "the log beside the book is of another book, or older than this one"
                                     : "the log beside the book is damaged from its beginning";
}

Result<Settled> setAside(Settled&& settled, const LogVerdict& verdict, const std::string& file) {
    const bool is_own = verdict.kind == LogVerdict::Kind::own;
    return setLogAside(file, is_own ? &*verdict.log : nullptr).map([&](const std::string& kept) {
        settled.notices.push_back(
            is_own
                ? fmt::format("the log beside the book was damaged, and put right as far as it could be; as it was it "
                              "is kept as {}",
                              kept)
                : fmt::format("{}: it is kept as {}, and nothing of it was taken", describeStranger(verdict), kept));
        return std::move(settled);
    });
}

} // namespace

std::string tellLosses(const Database& database, const LogLosses& losses) {
    std::string text = losses.text;
    for (const auto& seen : losses.samples_seen) {
        const std::int64_t run = seen.first;
        Statement row = database.statement(
            "SELECT name, samples + (SELECT count(*) FROM tail WHERE run = ?) FROM run WHERE id = ?", run, run);
        const Result<bool> found = row.step();
        const bool is_there = found && *found;
        const std::size_t has = is_there ? row.count(1) : 0;
        if (seen.second > has) {
            text += fmt::format("; {} {} of run {} are lost", seen.second - has,
                                seen.second - has == 1 ? "sample" : "samples",
                                is_there ? fmt::format("\"{}\"", row.text(0)) : std::string("that is not in the book"));
        }
    }
    return text;
}

Result<Settled> settle(const std::string& path, const std::string& file, LogHandling handling) {
    const Result<LogVerdict> verdict = judgeLog(file);
    if (!verdict) {
        return tl::unexpected(verdict.error());
    }
    Settled settled{.kind = verdict->kind};
    if (verdict->kind == LogVerdict::Kind::nothing) {
        return settled;
    }
    if (verdict->kind == LogVerdict::Kind::unclear) {
        return tl::unexpected(damagedFault(path, "is damaged, and so is the log beside it"));
    }
    const bool is_own = verdict->kind == LogVerdict::Kind::own;
    if (verdict->isDamaged()) {
        settled.losses = {.text = describeLosses(*verdict->log), .samples_seen = verdict->log->samplesSeen()};
    }
    const bool is_harmless = is_own && verdict->log->isPlain() && !verdict->isDamaged();
    if (is_harmless && handling != LogHandling::copy) {
        return settled;
    }
    if (handling == LogHandling::set_aside) {
        return setAside(std::move(settled), *verdict, file);
    }
    return BookCopy::make(file, is_own ? &*verdict->log : nullptr).map([&](std::shared_ptr<const BookCopy>&& copy) {
        settled.copy = std::move(copy);
        if (!is_own) {
            settled.notices.push_back(describeStranger(*verdict) + "; nothing of it was taken");
        }
        return std::move(settled);
    });
}

} // namespace potwatch::book
