// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/forecast/programme.h"

#include <fast_float/fast_float.h>
#include <fmt/format.h>

#include <cmath>
#include <cstddef>
#include <optional>

namespace potwatch::forecast {

namespace {

constexpr double seconds_per_minute = 60.0;
constexpr double coldest_c = -273.15;

class Reader {
public:
    explicit Reader(std::string_view text)
        : text_(text) {}

    Result<Programme> read() {
        Programme programme;
        skipSpace();
        while (at_ < text_.size()) {
            const std::size_t begins = at_;
            const std::optional<ProgrammeStep> step = readStep();
            if (!step) {
                return tl::unexpected(fault_);
            }
            if (!programme.steps.empty() && programme.steps.back().to_c != step->from_c) {
                return tl::unexpected(
                    faultAt(begins, fmt::format("a step begins at {} °C where the one before it ended "
                                                "at {} °C",
                                                step->from_c, programme.steps.back().to_c)));
            }
            programme.steps.push_back(*step);
            skipSpace();
        }
        if (programme.steps.empty()) {
            return tl::unexpected(faultAt(0, "the programme is empty"));
        }
        return programme;
    }

private:
    std::optional<ProgrammeStep> readStep() {
        ProgrammeStep step;
        if (!temperature(step.from_c, "a temperature to begin at") || !sign('>', "to part the two temperatures") ||
            !temperature(step.to_c, "a temperature to end at") || !sign('@', "before the ramp") ||
            !number(step.ramp_k_per_min, "a ramp in K/min")) {
            return std::nullopt;
        }
        if (!(step.ramp_k_per_min > 0.0)) {
            fault_ = faultAt(number_at_, "a ramp is a size above 0, also where the oven cools");
            return std::nullopt;
        }
        if (at_ < text_.size() && text_[at_] == '/') {
            ++at_;
            if (!number(step.hold_min, "minutes to hold")) {
                return std::nullopt;
            }
            if (!(step.hold_min >= 0.0)) {
                fault_ = faultAt(number_at_, "a hold of less than no time");
                return std::nullopt;
            }
        }
        if (at_ < text_.size() && text_[at_] != ' ') {
            fault_ = faultAt(at_, fmt::format("\"{}\" is not expected there", text_[at_]));
            return std::nullopt;
        }
        return step;
    }

    bool temperature(double& into, std::string_view what) {
        if (!number(into, what)) {
            return false;
        }
        if (!(into > coldest_c)) {
            fault_ = faultAt(number_at_, "a temperature lies below -273.15 °C");
            return false;
        }
        return true;
    }

    bool number(double& into, std::string_view what) {
        number_at_ = at_;
        const char* const begin = text_.data() + at_;
        const auto [end, error] = fast_float::from_chars(begin, text_.data() + text_.size(), into);
        if (error != std::errc{} || !std::isfinite(into)) {
            fault_ = faultAt(at_, fmt::format("{} is missing", what));
            return false;
        }
        at_ += static_cast<std::size_t>(end - begin);
        return true;
    }

    bool sign(char wanted, std::string_view why) {
        if (at_ >= text_.size() || text_[at_] != wanted) {
            fault_ = faultAt(at_, fmt::format("\"{}\" is missing {}", wanted, why));
            return false;
        }
        ++at_;
        return true;
    }

    void skipSpace() {
        while (at_ < text_.size() && text_[at_] == ' ') {
            ++at_;
        }
    }

    [[nodiscard]] Fault faultAt(std::size_t at, std::string what) const {
        return {.kind = FaultKind::input,
                .what = fmt::format("cannot be read there: {}", what),
                .where = {.file = fmt::format("programme \"{}\"", text_), .column = static_cast<long>(at + 1)},
                .remedy = "write it as 25>80@2/30 80>120@1/60: from °C to °C at K/min, then minutes to hold"};
    }

    std::string_view text_;
    std::size_t at_ = 0;
    std::size_t number_at_ = 0;
    Fault fault_;
};

} // namespace

Result<Programme> programmeOf(std::string_view text) {
    return Reader(text).read();
}

std::string textOf(const Programme& programme) {
    std::string text;
    for (const ProgrammeStep& step : programme.steps) {
        text += fmt::format("{}{}>{}@{}", text.empty() ? "" : " ", step.from_c, step.to_c, step.ramp_k_per_min);
        text += step.hold_min > 0.0 ? fmt::format("/{}", step.hold_min) : "";
    }
    return text;
}

double durationS(const Programme& programme) {
    double minutes = 0.0;
    for (const ProgrammeStep& step : programme.steps) {
        minutes += std::abs(step.to_c - step.from_c) / step.ramp_k_per_min + step.hold_min;
    }
    return seconds_per_minute * minutes;
}

TemperatureCourse courseOf(const Programme& programme) {
    TemperatureCourse course;
    const auto add = [&](double time_s, double temperature_c) {
        if (course.time_s.empty() || time_s > course.time_s.back()) {
            course.time_s.push_back(time_s);
            course.temperature_c.push_back(temperature_c);
        }
    };
    double time_s = 0.0;
    for (const ProgrammeStep& step : programme.steps) {
        add(time_s, step.from_c);
        time_s += seconds_per_minute * std::abs(step.to_c - step.from_c) / step.ramp_k_per_min;
        add(time_s, step.to_c);
        time_s += seconds_per_minute * step.hold_min;
        add(time_s, step.to_c);
    }
    return course;
}

} // namespace potwatch::forecast
