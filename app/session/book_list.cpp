// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/book_list.h"

#include "app/format/number.h"
#include "app/session/batch_change.h"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <array>
#include <cctype>
#include <chrono>
#include <set>
#include <string_view>
#include <utility>

namespace potwatch::session {
namespace {

using Json = nlohmann::json;

std::optional<double> numberAt(const Json& object, const char* key) {
    const auto found = object.find(key);
    return found != object.end() && found->is_number() ? std::optional(found->get<double>()) : std::nullopt;
}

// The search is for words as people type them: no difference of case in ASCII, all else byte for byte.
std::string lowered(std::string_view text) {
    std::string lower(text);
    for (char& c : lower) {
        c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    }
    return lower;
}

std::string searchable(const book::RunRow& row) {
    const Batch& batch = row.notes.batch;
    std::string text = row.name + '\n' + batch.name + '\n' + batch.notes + '\n' + batch.vessel.name + '\n' +
                       row.source_file + '\n' + batch.based_on;
    for (const std::string& tag : row.notes.tags) {
        text += '\n' + tag;
    }
    for (const Ingredient& one : batch.ingredients) {
        text += '\n' + one.substance;
    }
    text += batch.dose ? '\n' + batch.dose->substance : std::string();
    for (const Event& event : batch.events) {
        text += '\n' + event.kind + '\n' + event.text;
    }
    for (const Annotation& annotation : row.notes.annotations) {
        text += '\n' + annotation.text;
    }
    return lowered(text + '\n' + batch.outcome.hardness);
}

std::vector<std::string> wordsOf(const std::string& text) {
    std::vector<std::string> words;
    std::string word;
    for (const char c : lowered(text) + ' ') {
        if (c != ' ' && c != '\t') {
            word += c;
        } else if (!word.empty()) {
            words.push_back(std::move(word));
            word.clear();
        }
    }
    return words;
}

bool meets(const book::RunRow& row, const ListWish& wish, const std::vector<std::string>& words) {
    if (row.withdrawn) {
        return false;
    }
    const std::vector<std::string>& tags = row.notes.tags;
    if (!wish.tag.empty() && std::find(tags.begin(), tags.end(), wish.tag) == tags.end()) {
        return false;
    }
    const std::string text = words.empty() ? std::string() : searchable(row);
    return std::all_of(words.begin(), words.end(),
                       [&](const std::string& word) { return text.find(word) != std::string::npos; });
}

// "rod 9" before "rod 10": digits count as numbers.
bool namesInOrder(std::string_view a, std::string_view b) {
    const auto digit = [](char c) { return std::isdigit(static_cast<unsigned char>(c)) != 0; };
    std::size_t i = 0;
    std::size_t j = 0;
    while (i < a.size() && j < b.size()) {
        if (digit(a[i]) && digit(b[j])) {
            const auto number = [&](std::string_view text, std::size_t& at) {
                const std::size_t from = std::min(text.find_first_not_of('0', at), text.size());
                at = std::max(from, at);
                while (at < text.size() && digit(text[at])) {
                    ++at;
                }
                return text.substr(from, at - from);
            };
            const std::string_view x = number(a, i);
            const std::string_view y = number(b, j);
            if (x != y) {
                return x.size() != y.size() ? x.size() < y.size() : x < y;
            }
            continue;
        }
        const int x = std::tolower(static_cast<unsigned char>(a[i++]));
        const int y = std::tolower(static_cast<unsigned char>(b[j++]));
        if (x != y) {
            return x < y;
        }
    }
    return a.size() - i < b.size() - j;
}

std::optional<double> figureOf(const ListedRun& run, SortKey key) {
    if (key == SortKey::peak) {
        return run.peak_c ? std::optional(run.peak_c->value) : std::nullopt;
    }
    const std::optional<Dose>& dose = run.row.notes.batch.dose;
    return dose ? dose->rate_g_per_min : std::nullopt;
}

bool inOrder(const ListedRun& a, const ListedRun& b, const ListWish& wish) {
    const ListedRun& first = wish.descending ? b : a;
    const ListedRun& second = wish.descending ? a : b;
    if (wish.sort == SortKey::date) {
        return momentOf(first.row) < momentOf(second.row);
    }
    if (wish.sort == SortKey::name) {
        return namesInOrder(first.row.name, second.row.name);
    }
    const std::optional<double> x = figureOf(a, wish.sort);
    const std::optional<double> y = figureOf(b, wish.sort);
    if (!x || !y) {
        return x && !y;
    }
    return wish.descending ? *x > *y : *x < *y;
}

// Puts the lines of a family one below the other.
class Lineage {
public:
    Lineage(std::span<const ListedRun> runs, const std::vector<std::size_t>& shown,
            const std::vector<std::optional<std::size_t>>& parents)
        : children_(runs.size()) {
        std::vector<bool> is_shown(runs.size(), false);
        for (const std::size_t run : shown) {
            is_shown[run] = true;
        }
        for (const std::size_t run : shown) {
            if (parents[run] && is_shown[*parents[run]]) {
                children_[*parents[run]].push_back(run);
            } else {
                roots_.push_back(run);
            }
        }
        done_.resize(runs.size(), false);
    }

    std::vector<std::pair<std::size_t, int>> inOrder() {
        for (const std::size_t root : roots_) {
            add(root, 0);
        }
        return std::move(lines_);
    }

private:
    void add(std::size_t run, int depth) {
        // A stack of its own: a chain of runs may be long.
        std::vector<std::pair<std::size_t, int>> open{{run, depth}};
        while (!open.empty()) {
            const auto [now, at] = open.back();
            open.pop_back();
            if (done_[now]) {
                continue;
            }
            done_[now] = true;
            lines_.emplace_back(now, at);
            const std::vector<std::size_t>& children = children_[now];
            const int below = at == 0 || children.size() > 1 ? at + 1 : at;
            for (auto child = children.rbegin(); child != children.rend(); ++child) {
                open.emplace_back(*child, below);
            }
        }
    }

    std::vector<std::vector<std::size_t>> children_;
    std::vector<std::size_t> roots_;
    std::vector<bool> done_;
    std::vector<std::pair<std::size_t, int>> lines_;
};

BookLine lineOf(std::span<const ListedRun> runs, std::size_t run, int depth, const std::optional<std::size_t>& parent) {
    const book::RunRow& row = runs[run].row;
    BookLine line{.run = run, .depth = depth, .name = row.name};
    if (parent) {
        line.change = batchChangeText(runs[*parent].row.notes.batch, row.notes.batch);
    }
    line.outcome = outcomeText(row.notes.batch.outcome);
    line.date_text = dayText(row.started ? *row.started : WallTime{.utc_us = row.added_utc_us, .offset_s = 0});
    return line;
}

} // namespace

ListedRun listedRun(book::RunRow row) {
    ListedRun listed{.row = std::move(row)};
    const Json findings = Json::parse(listed.row.findings, nullptr, false);
    if (!findings.is_object()) {
        return listed;
    }
    const auto landmarks = findings.find("landmarks");
    if (landmarks == findings.end() || !landmarks->is_object()) {
        return listed;
    }
    const auto peak = landmarks->find("peak");
    if (peak != landmarks->end() && peak->is_object()) {
        const auto temperature = peak->find("temperature_c");
        if (temperature != peak->end() && temperature->is_object()) {
            const auto value = numberAt(*temperature, "value");
            const auto u = numberAt(*temperature, "u");
            const auto low = numberAt(*temperature, "low");
            const auto high = numberAt(*temperature, "high");
            if (value && u && low && high) {
                listed.peak_c = Estimate{.value = *value, .u = *u, .low = *low, .high = *high};
            }
        }
    }
    const auto plateau = landmarks->find("boil_plateau");
    listed.boiled = plateau != landmarks->end() && plateau->is_object();
    return listed;
}

std::int64_t momentOf(const book::RunRow& row) {
    return row.started ? row.started->utc_us : row.added_utc_us;
}

std::optional<std::size_t> parentOf(std::span<const ListedRun> runs, std::size_t run) {
    const std::string& name = runs[run].row.notes.batch.based_on;
    if (name.empty()) {
        return std::nullopt;
    }
    std::optional<std::size_t> best;
    for (std::size_t i = 0; i < runs.size(); ++i) {
        if (i == run || runs[i].row.withdrawn || runs[i].row.name != name) {
            continue;
        }
        const std::int64_t at = momentOf(runs[i].row);
        const bool before = at <= momentOf(runs[run].row);
        const bool best_before = best && momentOf(runs[*best].row) <= momentOf(runs[run].row);
        if (!best || (before && (!best_before || at > momentOf(runs[*best].row)))) {
            best = i;
        }
    }
    return best;
}

std::vector<BookLine> bookLines(std::span<const ListedRun> runs, const ListWish& wish) {
    const std::vector<std::string> words = wordsOf(wish.search);
    std::vector<std::size_t> shown;
    std::vector<std::optional<std::size_t>> parents(runs.size());
    for (std::size_t i = 0; i < runs.size(); ++i) {
        if (meets(runs[i].row, wish, words)) {
            shown.push_back(i);
            parents[i] = parentOf(runs, i);
        }
    }
    std::stable_sort(shown.begin(), shown.end(),
                     [&](std::size_t a, std::size_t b) { return inOrder(runs[a], runs[b], wish); });
    std::vector<std::pair<std::size_t, int>> order;
    if (wish.sort == SortKey::date) {
        order = Lineage(runs, shown, parents).inOrder();
    }
    // Flat; and runs that are based on each other in a ring have no root: they are listed all the same.
    std::vector<bool> listed(runs.size(), false);
    for (const auto& [run, depth] : order) {
        listed[run] = true;
    }
    for (const std::size_t run : shown) {
        if (!listed[run]) {
            order.emplace_back(run, 0);
        }
    }
    std::vector<BookLine> lines;
    for (const auto& [run, depth] : order) {
        lines.push_back(lineOf(runs, run, depth, parents[run]));
    }
    return lines;
}

std::vector<std::string> tagsOf(std::span<const ListedRun> runs) {
    std::set<std::string> tags;
    for (const ListedRun& run : runs) {
        if (!run.row.withdrawn) {
            tags.insert(run.row.notes.tags.begin(), run.row.notes.tags.end());
        }
    }
    return {tags.begin(), tags.end()};
}

std::string outcomeText(const Outcome& outcome) {
    std::string text;
    // That there is no foam is said only where nothing else says how sound the piece is.
    if (outcome.foam && (*outcome.foam != Foam::none || !outcome.void_percent)) {
        constexpr std::array<const char*, 3> words{"no foam", "foam at the edge", "foam through"};
        text = words.at(static_cast<std::size_t>(*outcome.foam));
    }
    if (outcome.void_percent) {
        text += fmt::format("{}{} % voids", text.empty() ? "" : ", ", format::numberText(*outcome.void_percent, 2));
    }
    if (text.empty() && outcome.density_g_per_ml) {
        text = fmt::format("{} g/mL", format::numberText(*outcome.density_g_per_ml, 3));
    }
    return text.empty() ? outcome.hardness : text;
}

std::string dayText(const WallTime& time) {
    constexpr std::array<const char*, 12> months{"Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                                 "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};
    const std::chrono::sys_time<std::chrono::microseconds> moment(std::chrono::microseconds(time.utc_us) +
                                                                  std::chrono::seconds(time.offset_s.value_or(0)));
    const std::chrono::year_month_day day(std::chrono::floor<std::chrono::days>(moment));
    const auto month = static_cast<unsigned>(day.month());
    return fmt::format("{} {} {}", static_cast<unsigned>(day.day()), months.at(month - 1),
                       static_cast<int>(day.year()));
}

} // namespace potwatch::session
