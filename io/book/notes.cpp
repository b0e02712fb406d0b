// SPDX-License-Identifier: GPL-3.0-or-later
#include "io/book/notes.h"

#include "io/batch/batch_file.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <initializer_list>
#include <string_view>
#include <utility>

namespace potwatch::book {
namespace {

template<class Kind, std::size_t n>
using Names = std::array<std::pair<Kind, std::string_view>, n>;

constexpr Names<AnnotationKind, 3> annotation_kinds{
    {{AnnotationKind::text, "text"}, {AnnotationKind::arrow, "arrow"}, {AnnotationKind::span, "span"}}};

constexpr Names<PaneKind, 4> panes{{{PaneKind::temperature, "temperature"},
                                    {PaneKind::rate, "rate"},
                                    {PaneKind::heat_flow, "heat_flow"},
                                    {PaneKind::degree, "degree"}}};

template<class Kind, std::size_t n>
std::string_view nameIn(const Names<Kind, n>& names, Kind kind) {
    return std::find_if(names.begin(), names.end(), [&](const auto& entry) { return entry.first == kind; })->second;
}

template<class Kind, std::size_t n>
std::optional<Kind> namedIn(const Names<Kind, n>& names, std::string_view name) {
    const auto found =
        std::find_if(names.begin(), names.end(), [&](const auto& entry) { return entry.second == name; });
    return found == names.end() ? std::nullopt : std::optional(found->first);
}

Fault refused(const std::string& path, std::string what, std::string remedy) {
    return {.kind = FaultKind::input, .what = std::move(what), .where = {.file = path}, .remedy = std::move(remedy)};
}

bool areFinite(std::initializer_list<double> values) {
    return std::all_of(values.begin(), values.end(), [](double value) { return std::isfinite(value); });
}

// Calls take(row) for each row. Stops at the first fault.
template<class Take>
Result<void> forEachRow(Statement rows, const Take& take) {
    Result<bool> next = rows.step();
    for (; next && *next; next = rows.step()) {
        if (Result<void> taken = take(rows); !taken) {
            return taken;
        }
    }
    return next.map([](bool) {});
}

struct StoredEvent {
    std::int64_t id = 0;
    Event event;
    bool withdrawn = false;
};

Result<std::vector<StoredEvent>> storedEvents(const Database& database, std::int64_t run) {
    std::vector<StoredEvent> events;
    return forEachRow(
               database.statement(
                   "SELECT id, time_s, kind, text, withdrawn FROM event WHERE run = ? ORDER BY position, id", run),
               [&](const Statement& row) -> Result<void> {
                   events.push_back({.id = row.integer(0),
                                     .event = {.time_s = row.number(1), .kind = row.text(2), .text = row.text(3)},
                                     .withdrawn = row.integer(4) != 0});
                   return {};
               })
        .map([&] { return std::move(events); });
}

// What was stated once stays in the book: an event that is gone is marked, one that comes back is unmarked.
Result<void> writeEvents(const Database& database, std::int64_t run, const std::vector<Event>& wanted) {
    Result<std::vector<StoredEvent>> stored = storedEvents(database, run);
    if (!stored) {
        return tl::unexpected(std::move(stored.error()));
    }
    // Those that stand come first, so that one which never left is not passed over for a withdrawn twin.
    std::stable_partition(stored->begin(), stored->end(), [](const StoredEvent& event) { return !event.withdrawn; });
    Statement update = database.statement("UPDATE event SET position = ?, withdrawn = ? WHERE id = ?");
    Statement insert =
        database.statement("INSERT INTO event(run, position, time_s, kind, text) VALUES (?, ?, ?, ?, ?)");
    for (std::size_t position = 0; position < wanted.size(); ++position) {
        const Event& event = wanted[position];
        const auto known = std::find_if(stored->begin(), stored->end(),
                                        [&](const StoredEvent& candidate) { return candidate.event == event; });
        Result<void> done;
        if (known != stored->end()) {
            update.bindAll(position, 0, known->id);
            done = update.run();
            stored->erase(known);
        } else {
            insert.bindAll(run, position, event.time_s, event.kind, event.text);
            done = insert.run();
        }
        if (!done) {
            return done;
        }
    }
    for (const StoredEvent& gone : *stored) {
        update.bindAll(wanted.size(), 1, gone.id);
        if (Result<void> done = update.run(); !done) {
            return done;
        }
    }
    return {};
}

Result<void> writeOverrides(const Database& database, std::int64_t run,
                            const std::vector<LandmarkOverride>& overrides) {
    Statement insert = database.statement("INSERT INTO landmark_override(run, landmark, time_s) VALUES (?, ?, ?)");
    for (const LandmarkOverride& by_hand : overrides) {
        insert.bindAll(run, potwatch::nameOf(by_hand.landmark), by_hand.time_s);
        if (Result<void> done = insert.run(); !done) {
            return done;
        }
    }
    return {};
}

Result<void> writeAnnotations(const Database& database, std::int64_t run, const std::vector<Annotation>& annotations) {
    Statement insert = database.statement("INSERT INTO annotation(run, kind, pane, time_s, value, to_time_s, to_value, "
                                          "text) VALUES (?, ?, ?, ?, ?, ?, ?, ?)");
    for (const Annotation& a : annotations) {
        insert.bindAll(run, nameIn(annotation_kinds, a.kind), nameIn(panes, a.pane), a.time_s, a.value, a.to_time_s,
                       a.to_value, a.text);
        if (Result<void> done = insert.run(); !done) {
            return done;
        }
    }
    return {};
}

Result<void> writeTags(const Database& database, std::int64_t run, const std::vector<std::string>& tags) {
    Statement insert = database.statement("INSERT INTO tag(run, text) VALUES (?, ?)");
    for (const std::string& tag : tags) {
        insert.bindAll(run, tag);
        if (Result<void> done = insert.run(); !done) {
            return done;
        }
    }
    return {};
}

Result<void> readMarks(const Database& database, std::int64_t run, Notes& notes) {
    const auto overrides = [&](const Statement& row) -> Result<void> {
        const std::optional<LandmarkKind> kind = landmarkKindNamed(row.text(0));
        if (!kind) {
            return tl::unexpected(damagedFault(
                database.path(), fmt::format("has an override of an unknown landmark \"{}\"", row.text(0))));
        }
        notes.overrides.push_back({.landmark = *kind, .time_s = row.number(1)});
        return {};
    };
    const auto annotations = [&](const Statement& row) -> Result<void> {
        const std::optional<AnnotationKind> kind = namedIn(annotation_kinds, row.text(0));
        const std::optional<PaneKind> pane = namedIn(panes, row.text(1));
        if (!kind || !pane) {
            return tl::unexpected(damagedFault(database.path(), "has an annotation of an unknown kind"));
        }
        notes.annotations.push_back({.kind = *kind,
                                     .pane = *pane,
                                     .time_s = row.number(2),
                                     .value = row.number(3),
                                     .to_time_s = row.number(4),
                                     .to_value = row.number(5),
                                     .text = row.text(6)});
        return {};
    };
    const auto tags = [&](const Statement& row) -> Result<void> {
        notes.tags.push_back(row.text(0));
        return {};
    };
    return forEachRow(
               database.statement("SELECT landmark, time_s FROM landmark_override WHERE run = ? ORDER BY id", run),
               overrides)
        .and_then([&] {
            return forEachRow(database.statement("SELECT kind, pane, time_s, value, to_time_s, to_value, text FROM "
                                                 "annotation WHERE run = ? ORDER BY id",
                                                 run),
                              annotations);
        })
        .and_then([&] {
            return forEachRow(database.statement("SELECT text FROM tag WHERE run = ? ORDER BY id", run), tags);
        });
}

} // namespace

Result<std::string> batchText(const Batch& batch, const std::string& path) {
    const auto named = [&](Fault fault) {
        fault.where = {.file = batch.file.empty() ? path : batch.file}; // lines of a text that nobody sees
        return fault;
    };
    tl::expected<Batch, batch::Faults> again = batch::readText(batch::write(batch), batch.file);
    if (!again) {
        return tl::unexpected(named(again.error().front()));
    }
    again->file = batch.file;
    if (*again != batch) {
        return tl::unexpected(named(refused(path, "the batch data hold a figure or a text that cannot be kept",
                                            "take out what is infinite, no number or no text")));
    }
    Batch without_events = batch;
    without_events.events.clear();
    return batch::write(without_events);
}

Result<void> checkNotes(const Notes& notes, const std::string& path) {
    for (const Annotation& a : notes.annotations) {
        if (!areFinite({a.time_s, a.value, a.to_time_s, a.to_value})) {
            return tl::unexpected(refused(path, fmt::format("the annotation \"{}\" has no finite place", a.text),
                                          "put it on the plot again"));
        }
    }
    for (std::size_t i = 0; i < notes.overrides.size(); ++i) {
        const LandmarkOverride& by_hand = notes.overrides[i];
        const std::string name(potwatch::nameOf(by_hand.landmark));
        if (!areFinite({by_hand.time_s})) {
            return tl::unexpected(
                refused(path, fmt::format("the {} put by hand has no finite time", name), "put it on the plot again"));
        }
        for (std::size_t j = 0; j < i; ++j) {
            if (notes.overrides[j].landmark == by_hand.landmark) {
                return tl::unexpected(
                    refused(path, fmt::format("the {} is put by hand twice", name), "keep one of the two"));
            }
        }
    }
    return {};
}

Result<void> writeNotes(const Database& database, std::int64_t run, const Notes& notes) {
    for (const char* const sql : {"DELETE FROM landmark_override WHERE run = ?", "DELETE FROM annotation WHERE run = ?",
                                  "DELETE FROM tag WHERE run = ?"}) {
        if (Result<void> done = database.run(sql, run); !done) {
            return done;
        }
    }
    return writeEvents(database, run, notes.batch.events)
        .and_then([&] { return writeOverrides(database, run, notes.overrides); })
        .and_then([&] { return writeAnnotations(database, run, notes.annotations); })
        .and_then([&] { return writeTags(database, run, notes.tags); });
}

Result<Notes> readNotes(const Database& database, std::int64_t run, const std::string& batch_toml,
                        const std::string& batch_file) {
    tl::expected<Batch, batch::Faults> batch = batch::readText(batch_toml, batch_file);
    if (!batch) {
        Fault& fault = batch.error().front();
        if (fault.kind == FaultKind::unsupported) {
            fault.where = {.file = database.path()};
            return tl::unexpected(std::move(fault));
        }
        return tl::unexpected(damagedFault(database.path(), "has batch data that cannot be read: " + fault.what));
    }
    Notes notes{.batch = std::move(*batch)};
    Result<std::vector<StoredEvent>> events = storedEvents(database, run);
    if (!events) {
        return tl::unexpected(std::move(events.error()));
    }
    for (StoredEvent& stored : *events) {
        if (!stored.withdrawn) {
            notes.batch.events.push_back(std::move(stored.event));
        }
    }
    return readMarks(database, run, notes).map([&] { return std::move(notes); });
}

} // namespace potwatch::book
