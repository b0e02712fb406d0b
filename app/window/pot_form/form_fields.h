// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/batch.h"

#include <QString>

#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace potwatch::window {

// The batch as the fields of a form, in the groups in which a person thinks of it.

enum class FieldGroup {
    charge,
    vessel,
    surroundings,
    dose,
    heater,
    reference,
    weighed,
    sensor,
    uncertainty,
    notes,
    outcome
};

enum class FieldKind { number, text, longText, choice, flag, channel };

struct FormField {
    std::string place; // as io/batch names it: "charge.resin_g"
    FieldGroup group = FieldGroup::charge;
    QString label;
    std::string unit;
    FieldKind kind = FieldKind::number;
    std::vector<std::pair<std::string, QString>> choices; // of a choice: what is stored, what is shown
    std::function<std::optional<double>(const Batch&)> number;
    std::function<void(Batch&, std::optional<double>)> setNumber;
    std::function<std::string(const Batch&)> text; // all kinds but numbers; a flag is "true" or ""
    std::function<void(Batch&, const std::string&)> setText;
};

// All fields in the order of the form.
[[nodiscard]] std::vector<FormField> formFields();

[[nodiscard]] QString titleOf(FieldGroup group);

} // namespace potwatch::window
