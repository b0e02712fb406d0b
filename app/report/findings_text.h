// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/findings.h"
#include "app/report/plot_content.h"

#include <string>
#include <string_view>
#include <vector>

namespace potwatch::report {

// The words for findings, shared by the plot and the report. All one line each, fit for XML once escaped.

// "0.1.0".
[[nodiscard]] std::string_view programVersion();

// "cure.csv · channel pot_c · 14 401 samples over 2 h".
[[nodiscard]] std::string sourceLine(const Findings& findings);

// "dose start", or "note: stirred by hand" where the event has words of its own.
[[nodiscard]] std::string eventText(const Event& event);

// "boil plateau 2 min 5 s at 100.5 °C".
[[nodiscard]] std::string plateauText(const BoilPlateau& plateau);

// The landmarks as pins, numbered by time: those of the hottest exotherm, then onset, peak and end of the others.
[[nodiscard]] std::vector<Pin> pins(const Findings& findings);

// The stretches worth a dimension line, by their start: induction (dose start to onset), exotherm (onset to peak, of
// each), peak to end, boil plateau.
[[nodiscard]] std::vector<Span> spans(const Analysis& analysis);

// Lines beside the heat pane and the degree pane.
[[nodiscard]] std::vector<std::string> heatNotes(const HeatFindings& heat);
[[nodiscard]] std::vector<std::string> cureNotes(const CureFindings& cure);

} // namespace potwatch::report
