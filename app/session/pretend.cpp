// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/pretend.h"

#include "app/session/sample_scenario.h"
#include "io/csv/import.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <limits>
#include <thread>
#include <utility>

namespace potwatch::session {
namespace {

constexpr std::size_t played_run = 3; // rod-04: it warms for some minutes, then passes 90 °C without boiling
constexpr std::size_t most_channels = 64;

template<class Kind>
struct Word {
    std::string_view word;
    Kind kind;
};

constexpr std::array<Word<PretendStyle>, 10> styles{{{"comma", PretendStyle::comma},
                                                     {"semicolon", PretendStyle::semicolon},
                                                     {"blank", PretendStyle::blank},
                                                     {"tab", PretendStyle::tab},
                                                     {"header", PretendStyle::header},
                                                     {"units", PretendStyle::units},
                                                     {"key-value", PretendStyle::key_value},
                                                     {"json", PretendStyle::json},
                                                     {"crlf", PretendStyle::crlf},
                                                     {"checksum", PretendStyle::checksum}}};

constexpr std::array<Word<PretendFault>, 7> faults{{{"garbage", PretendFault::garbage},
                                                    {"half-lines", PretendFault::half_lines},
                                                    {"bursts", PretendFault::bursts},
                                                    {"silence", PretendFault::silence},
                                                    {"hang-up", PretendFault::hang_up},
                                                    {"open-sensor", PretendFault::open_sensor},
                                                    {"spikes", PretendFault::spikes}}};

template<class Words>
auto kindOf(const Words& words, std::string_view word) {
    const auto found = std::find_if(words.begin(), words.end(), [&](const auto& w) { return w.word == word; });
    return found == words.end() ? std::nullopt : std::optional(found->kind);
}

template<class Words>
std::vector<std::string> all(const Words& words) {
    std::vector<std::string> texts;
    std::transform(words.begin(), words.end(), std::back_inserter(texts),
                   [](const auto& w) { return std::string(w.word); });
    return texts;
}

// When a fault that lasts is there: for `lasts_s` at the end of every `period_s`.
struct Times {
    double period_s;
    double lasts_s;
};
constexpr Times quiet_times{40.0, 10.0};
constexpr Times away_times{20.0, 3.0};

bool isDuring(const Times& times, double at_s) {
    return std::fmod(at_s, times.period_s) >= times.period_s - times.lasts_s;
}

std::string nameOf(std::size_t channel) {
    return channel == 0 ? "pot_c" : channel == 1 ? "air_c" : fmt::format("wall{}_c", channel - 1);
}

Fault rangeFault(std::string what, std::string remedy) {
    return {.kind = FaultKind::range, .what = std::move(what), .where = {}, .remedy = std::move(remedy)};
}

std::string joined(const std::vector<std::string>& parts, std::string_view separator) {
    return fmt::format("{}", fmt::join(parts, separator));
}

} // namespace

std::optional<PretendStyle> pretendStyleOf(std::string_view word) {
    return kindOf(styles, word);
}

std::optional<PretendFault> pretendFaultOf(std::string_view word) {
    return kindOf(faults, word);
}

const std::vector<std::string>& pretendStyleWords() {
    static const std::vector<std::string> words = all(styles);
    return words;
}

const std::vector<std::string>& pretendFaultWords() {
    static const std::vector<std::string> words = all(faults);
    return words;
}

Result<PretendDevice::Table> PretendDevice::modelCure(const PretendWanted& wanted) {
    const SampleRun run = sampleRuns().at(played_run);
    Table table{.interval_s = sample_interval_s, .rows = {}};
    std::vector<double> times_s;
    for (double t = 0.0; t <= run.duration_s; t += table.interval_s) {
        times_s.push_back(t);
    }
    const Result<std::vector<forecast::PotState>> states = forecast::simulatePot(run.pot, times_s);
    if (!states) {
        return tl::unexpected(states.error());
    }
    constexpr double nearer_the_wall = 0.15; // a channel's share of the way from pot to air
    for (const forecast::PotState& state : *states) {
        std::vector<double> row;
        for (std::size_t i = 0; i < wanted.channels; ++i) {
            const double share = i == 0   ? 0.0
                                 : i == 1 ? 1.0
                                          : std::min(1.0, nearer_the_wall * static_cast<double>(i - 1));
            row.push_back(state.temperature_c + share * (run.pot.surroundings_c - state.temperature_c));
        }
        table.rows.push_back(std::move(row));
    }
    return table;
}

Result<PretendDevice::Table> PretendDevice::tableOf(const PretendWanted& wanted) {
    Result<csv::Table> read = csv::readFile(wanted.csv, {});
    if (!read) {
        return tl::unexpected(std::move(read.error()));
    }
    // Rows on an even grid of half seconds: the last reading at or before each.
    Table table{.interval_s = sample_interval_s, .rows = {}};
    std::size_t row = 0;
    for (double t = 0.0; t <= read->time_s.back(); t += table.interval_s) {
        while (row + 1 < read->time_s.size() && read->time_s[row + 1] <= t) {
            ++row;
        }
        std::vector<double> values;
        for (const Channel& channel : read->channels) {
            values.push_back(channel.values[row]);
        }
        table.rows.push_back(std::move(values));
    }
    return table;
}

Result<PretendDevice> PretendDevice::make(const PretendWanted& wanted) {
    if (!(wanted.rate_hz > 0.0 && wanted.rate_hz <= 10'000.0)) {
        return tl::unexpected(rangeFault("the rate is not over 0 and up to 10000 lines a second", "mend --rate"));
    }
    if (!(wanted.speed > 0.0 && std::isfinite(wanted.speed))) {
        return tl::unexpected(rangeFault("the speed is not over 0", "mend --speed"));
    }
    if (wanted.channels < 1 || wanted.channels > most_channels) {
        return tl::unexpected(rangeFault("there can be 1 to 64 channels", "mend --channels"));
    }
    Result<Table> table = wanted.csv.empty() ? modelCure(wanted) : tableOf(wanted);
    if (!table) {
        return tl::unexpected(std::move(table.error()));
    }
    return PretendDevice(wanted, std::move(*table));
}

PretendDevice::PretendDevice(const PretendWanted& wanted, Table table)
    : wanted_(wanted)
    , table_(std::move(table))
    , chance_(wanted.seed) {}

bool PretendDevice::has(PretendFault fault) const {
    return std::find(wanted_.faults.begin(), wanted_.faults.end(), fault) != wanted_.faults.end();
}

bool PretendDevice::isWithin(PretendFault fault, double at_s) const {
    return has(fault) && isDuring(fault == PretendFault::hang_up ? away_times : quiet_times, at_s);
}

std::vector<double> PretendDevice::valuesAt(double cure_s) const {
    const double place = cure_s / table_.interval_s;
    const auto last = table_.rows.size() - 1;
    const auto before = std::min(last, static_cast<std::size_t>(place));
    const auto after = std::min(last, before + 1);
    const double share = std::clamp(place - static_cast<double>(before), 0.0, 1.0);
    std::vector<double> values;
    for (std::size_t i = 0; i < table_.rows[before].size(); ++i) {
        const double from = table_.rows[before][i];
        // A table is played as it was read; a model is smooth.
        values.push_back(wanted_.csv.empty() ? from + share * (table_.rows[after][i] - from) : from);
    }
    return values;
}

std::string PretendDevice::lineOf(const std::vector<double>& values, bool last_is_open) const {
    std::vector<std::string> texts;
    for (std::size_t i = 0; i < values.size(); ++i) {
        const bool is_open = (last_is_open && i + 1 == values.size()) || std::isnan(values[i]);
        std::string text = is_open ? "OPEN" : fmt::format("{:.2f}", values[i]);
        switch (wanted_.style) {
        case PretendStyle::semicolon:
            std::replace(text.begin(), text.end(), '.', ',');
            break;
        case PretendStyle::units:
            text += is_open ? "" : " C";
            break;
        case PretendStyle::key_value:
            text = nameOf(i) + "=" + text;
            break;
        case PretendStyle::json:
            text = fmt::format("\"{}\": {}", nameOf(i), is_open ? "null" : text);
            break;
        default:
            break;
        }
        texts.push_back(std::move(text));
    }
    switch (wanted_.style) {
    case PretendStyle::semicolon:
        return joined(texts, ";");
    case PretendStyle::blank:
    case PretendStyle::key_value:
        return joined(texts, " ");
    case PretendStyle::tab:
        return joined(texts, "\t");
    case PretendStyle::json:
        return "{" + joined(texts, ", ") + "}";
    case PretendStyle::units:
        return joined(texts, ", ");
    case PretendStyle::checksum: {
        const std::string line = joined(texts, ",");
        unsigned sum = 0;
        for (const char c : line) {
            sum ^= static_cast<unsigned char>(c);
        }
        return fmt::format("{}*{:02X}", line, sum);
    }
    default:
        return joined(texts, ",");
    }
}

// Bytes that went wrong on the way. None becomes a digit, a sign or a mark: no reader could notice that in a line
// without a checksum.
void PretendDevice::spoil(std::string& bytes) {
    constexpr double share = 0.01;
    std::uniform_real_distribution<double> chance(0.0, 1.0);
    std::uniform_int_distribution<int> any_byte(0, 255);
    for (char& byte : bytes) {
        if (chance(chance_) >= share) {
            continue;
        }
        do {
            byte = static_cast<char>(any_byte(chance_));
        } while (std::string_view("0123456789+-.,;=").find(byte) != std::string_view::npos);
    }
}

PretendDevice::Step PretendDevice::next() {
    constexpr std::size_t lines_in_a_burst = 10;
    constexpr double noise_k = 0.05;
    constexpr double spike_k = 150.0;
    constexpr double spike_share = 0.01;
    constexpr double half_share = 0.05;
    std::uniform_real_distribution<double> chance(0.0, 1.0);
    std::normal_distribution<double> noise(0.0, noise_k);
    const bool is_first = step_ == 0;
    const double meant_s = static_cast<double>(step_) / wanted_.rate_hz;
    const std::size_t slot =
        has(PretendFault::bursts) ? step_ - step_ % lines_in_a_burst + lines_in_a_burst - 1 : step_;
    Step step{.at_s = static_cast<double>(slot) / wanted_.rate_hz, .line = {}, .bytes = {}};
    ++step_;
    std::vector<double> values = valuesAt(meant_s * wanted_.speed);
    for (double& value : values) {
        value += wanted_.csv.empty() ? noise(chance_) : 0.0;
        value += has(PretendFault::spikes) && chance(chance_) < spike_share ? spike_k : 0.0;
    }
    if (isWithin(PretendFault::hang_up, step.at_s)) {
        step.is_hung_up = true;
        return step;
    }
    if (isWithin(PretendFault::silence, step.at_s)) {
        return step;
    }
    step.line = lineOf(values, isWithin(PretendFault::open_sensor, step.at_s));
    const bool breaks_off = has(PretendFault::half_lines) && chance(chance_) < half_share;
    const char* const end = wanted_.style == PretendStyle::crlf ? "\r\n" : "\n";
    step.bytes = breaks_off ? step.line.substr(0, step.line.size() / 2) : step.line + end;
    if (has(PretendFault::garbage)) {
        spoil(step.bytes);
    }
    if (is_first && wanted_.style == PretendStyle::header) {
        std::vector<std::string> names;
        for (std::size_t i = 0; i < values.size(); ++i) {
            names.push_back(nameOf(i));
        }
        step.bytes = joined(names, ",") + "\n" + step.bytes;
    }
    return step;
}

namespace {

// Plays a pretend device on a thread of its own.
class PretendSource final : public serial::ByteSource {
public:
    explicit PretendSource(PretendDevice device)
        : device_(std::move(device)) {}

    void start(Tell tell) override {
        thread_ = std::jthread([this, tell = std::move(tell)](const std::stop_token& stop) { play(tell, stop); });
    }

private:
    void play(const Tell& tell, const std::stop_token& stop) {
        using namespace std::chrono_literals;
        const auto say = [&](auto what) { tell({.at = serial::now(), .what = std::move(what)}); };
        const auto begun = std::chrono::steady_clock::now();
        const serial::Connected connected{.to = "the pretend pot", .may_start_midway = false};
        bool is_there = true;
        say(connected);
        while (!stop.stop_requested()) {
            PretendDevice::Step step = device_.next();
            const auto due =
                begun + std::chrono::duration_cast<std::chrono::nanoseconds>(std::chrono::duration<double>(step.at_s));
            while (!stop.stop_requested() && std::chrono::steady_clock::now() < due) {
                std::this_thread::sleep_until(std::min(due, std::chrono::steady_clock::now() + 50ms));
            }
            if (stop.stop_requested()) {
                return;
            }
            if (step.is_hung_up != !is_there) {
                is_there = !step.is_hung_up;
                if (is_there) {
                    say(connected);
                } else {
                    say(serial::Lost{.fault = {.kind = FaultKind::device,
                                               .what = "the pretend device is gone",
                                               .where = {},
                                               .remedy = "it comes back by itself"}});
                }
            }
            if (!step.bytes.empty()) {
                say(serial::BytesCame{.bytes = std::move(step.bytes)});
            }
        }
    }

    PretendDevice device_;
    std::jthread thread_;
};

} // namespace

Result<std::unique_ptr<serial::ByteSource>> pretendSource(const PretendWanted& wanted) {
    return PretendDevice::make(wanted).map([](PretendDevice&& device) -> std::unique_ptr<serial::ByteSource> {
        return std::make_unique<PretendSource>(std::move(device));
    });
}

} // namespace potwatch::session
