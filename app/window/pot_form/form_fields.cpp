// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/pot_form/form_fields.h"

#include <QCoreApplication>

#include <algorithm>
#include <utility>

namespace potwatch::window {
namespace {

QString tr(const char* text) {
    return QCoreApplication::translate("PotForm", text);
}

class Fields {
public:
    explicit Fields(std::vector<FormField>& fields)
        : fields_(fields) {}

    void in(FieldGroup group) { group_ = group; }

    FormField& add(const char* place, FieldKind kind, QString label, const char* unit = "") {
        fields_.push_back({.place = place, .group = group_, .label = std::move(label), .unit = unit, .kind = kind});
        return fields_.back();
    }

    // member(batch) is an std::optional<double>&.
    template<class Member>
    void number(const char* place, QString label, const char* unit, Member member) {
        FormField& field = add(place, FieldKind::number, std::move(label), unit);
        field.number = [member](const Batch& batch) { return member(const_cast<Batch&>(batch)); };
        field.setNumber = [member](Batch& batch, std::optional<double> value) { member(batch) = value; };
    }

    // A number of the dose: there is a dose as soon as anything of it is stated.
    void ofDose(const char* place, QString label, const char* unit, std::optional<double> Dose::*member) {
        FormField& field = add(place, FieldKind::number, std::move(label), unit);
        field.number = [member](const Batch& batch) { return batch.dose ? (*batch.dose).*member : std::nullopt; };
        field.setNumber = [member](Batch& batch, std::optional<double> value) {
            Dose dose = batch.dose.value_or(Dose{});
            dose.*member = value;
            batch.dose = dose == Dose{} ? std::nullopt : std::optional(dose);
        };
    }

    template<class Member>
    FormField& text(const char* place, FieldKind kind, QString label, Member member) {
        FormField& field = add(place, kind, std::move(label));
        field.text = [member](const Batch& batch) { return member(const_cast<Batch&>(batch)); };
        field.setText = [member](Batch& batch, const std::string& value) { member(batch) = value; };
        return field;
    }

    // A choice of an optional enumeration; words are those of the batch file.
    template<class E, class Member>
    void choice(const char* place, QString label, std::vector<std::pair<E, std::pair<std::string, QString>>> words,
                Member member) {
        FormField& field = add(place, FieldKind::choice, std::move(label));
        field.choices.emplace_back("", tr("not stated"));
        for (const auto& word : words) {
            field.choices.push_back(word.second);
        }
        field.text = [member, words](const Batch& batch) {
            const std::optional<E> value = member(const_cast<Batch&>(batch));
            for (const auto& word : words) {
                if (value == word.first) {
                    return word.second.first;
                }
            }
            return std::string();
        };
        field.setText = [member, words](Batch& batch, const std::string& value) {
            member(batch) = std::nullopt;
            for (const auto& word : words) {
                if (value == word.second.first) {
                    member(batch) = word.first;
                }
            }
        };
    }

private:
    std::vector<FormField>& fields_;
    FieldGroup group_ = FieldGroup::charge;
};

void chargeAndVessel(Fields& fields) {
    fields.in(FieldGroup::charge);
    fields.number(
        "charge.resin_g", tr("Resin"), "g", [](Batch & b) -> auto& { return b.charge.resin_g; });
    fields.number(
        "charge.water_g", tr("Water"), "g", [](Batch & b) -> auto& { return b.charge.water_g; });
    fields.number(
        "charge.specific_heat_j_per_g_k", tr("Specific heat"), "J/(g K)",
        [](Batch & b) -> auto& { return b.charge.specific_heat_j_per_g_k; });
    fields.number(
        "charge.boiling_c", tr("Boils at"), "°C", [](Batch & b) -> auto& { return b.charge.boiling_c; });
    fields.number(
        "charge.boil_g_per_s_k", tr("Boils off"), "g/(s K)",
        [](Batch & b) -> auto& { return b.charge.boil_g_per_s_k; });
    FormField& blank = fields.add("batch.blank", FieldKind::flag, tr("Blank: hot water instead of resin"));
    blank.text = [](const Batch& batch) { return std::string(batch.blank ? "true" : ""); };
    blank.setText = [](Batch& batch, const std::string& value) {
        batch.blank = !value.empty();
        // A blank has no resin, a cure no water for its charge: what does not fit goes with it.
        (batch.blank ? batch.charge.resin_g : batch.charge.water_g) = std::nullopt;
    };

    fields.in(FieldGroup::vessel);
    fields.text(
        "vessel.name", FieldKind::text, tr("Name"), [](Batch & b) -> auto& { return b.vessel.name; });
    fields.number(
        "vessel.heat_capacity_j_per_k", tr("Heat capacity"), "J/K",
        [](Batch & b) -> auto& { return b.vessel.heat_capacity_j_per_k; });
    fields.number(
        "vessel.loss_coefficient_w_per_k", tr("Loss coefficient"), "W/K",
        [](Batch & b) -> auto& { return b.vessel.loss_coefficient_w_per_k; });
    fields.number(
        "vessel.loss_exponent", tr("Loss exponent"), "", [](Batch & b) -> auto& { return b.vessel.loss_exponent; });

    fields.in(FieldGroup::surroundings);
    FormField& air_c = fields.add("surroundings.temperature_c", FieldKind::number, tr("Temperature"), "°C");
    air_c.number = [](const Batch& batch) { return batch.surroundings.temperature_c; };
    air_c.setNumber = [](Batch& batch, std::optional<double> value) {
        batch.surroundings.temperature_c = value;
        if (value) {
            batch.surroundings.channel.clear(); // one of the two holds
        }
    };
    FormField& channel = fields.add("surroundings.channel", FieldKind::channel, tr("or channel"));
    channel.text = [](const Batch& batch) { return batch.surroundings.channel; };
    channel.setText = [](Batch& batch, const std::string& value) {
        batch.surroundings.channel = value;
        if (!value.empty()) {
            batch.surroundings.temperature_c = std::nullopt;
        }
    };
    fields.number(
        "surroundings.pressure_kpa", tr("Air pressure"), "kPa",
        [](Batch & b) -> auto& { return b.surroundings.pressure_kpa; });
}

void dose(Fields& fields) {
    fields.in(FieldGroup::dose);
    FormField& substance = fields.add("dose.substance", FieldKind::text, tr("Substance"));
    substance.text = [](const Batch& batch) { return batch.dose ? batch.dose->substance : std::string(); };
    substance.setText = [](Batch& batch, const std::string& value) {
        Dose changed = batch.dose.value_or(Dose{});
        changed.substance = value;
        batch.dose = changed == Dose{} ? std::nullopt : std::optional(changed);
    };
    FormField& role = fields.add("dose.role", FieldKind::choice, tr("Acts as"));
    role.choices = {{"catalyst", tr("catalyst")}, {"reactant", tr("reactant")}, {"diluent", tr("diluent")}};
    role.text = [](const Batch& batch) {
        const DoseRole is = batch.dose ? batch.dose->role : DoseRole::catalyst;
        return std::string(is == DoseRole::catalyst ? "catalyst" : is == DoseRole::reactant ? "reactant" : "diluent");
    };
    role.setText = [](Batch& batch, const std::string& value) {
        Dose changed = batch.dose.value_or(Dose{});
        changed.role = value == "reactant"  ? DoseRole::reactant
                       : value == "diluent" ? DoseRole::diluent
                                            : DoseRole::catalyst;
        batch.dose = changed == Dose{} ? std::nullopt : std::optional(changed);
    };
    fields.ofDose("dose.total_g", tr("Total"), "g", &Dose::total_g);
    fields.ofDose("dose.rate_g_per_min", tr("Rate"), "g/min", &Dose::rate_g_per_min);
    fields.ofDose("dose.start_s", tr("Starts at"), "s", &Dose::start_s);
    fields.ofDose("dose.specific_heat_j_per_g_k", tr("Specific heat"), "J/(g K)", &Dose::specific_heat_j_per_g_k);
    fields.ofDose("dose.temperature_c", tr("Goes in at"), "°C", &Dose::temperature_c);
    fields.ofDose("dose.density_g_per_ml", tr("Density"), "g/mL", &Dose::density_g_per_ml);
    fields.ofDose("dose.drops_per_ml", tr("Drops"), "1/mL", &Dose::drops_per_ml);
}

void heaterToSensor(Fields& fields) {
    fields.in(FieldGroup::heater);
    FormField& power = fields.add("heater.power_w", FieldKind::number, tr("Power"), "W");
    power.number = [](const Batch& batch) { return batch.heater.power_w; };
    power.setNumber = [](Batch& batch, std::optional<double> value) {
        batch.heater.power_w = value;
        if (value) {
            batch.heater.channel.clear();
        }
    };
    FormField& channel = fields.add("heater.channel", FieldKind::channel, tr("or channel"));
    channel.text = [](const Batch& batch) { return batch.heater.channel; };
    channel.setText = [](Batch& batch, const std::string& value) {
        batch.heater.channel = value;
        if (!value.empty()) {
            batch.heater.power_w = std::nullopt;
        }
    };

    fields.in(FieldGroup::reference);
    fields.number(
        "cure.heat_of_reaction_j_per_g", tr("Heat of reaction"), "J/g",
        [](Batch & b) -> auto& { return b.cure.heat_of_reaction_j_per_g; });
    fields.number(
        "cure.start_degree", tr("Degree at the start"), "", [](Batch & b) -> auto& { return b.cure.start_degree; });
    fields.number(
        "cure.gel_degree", tr("Degree at gel"), "", [](Batch & b) -> auto& { return b.cure.gel_degree; });
    fields.number(
        "cure.c_stage_degree", tr("Stage C from"), "", [](Batch & b) -> auto& { return b.cure.c_stage_degree; });

    fields.in(FieldGroup::weighed);
    fields.number(
        "weighed.loss_g", tr("Lost in the run"), "g", [](Batch & b) -> auto& { return b.weighed_loss_g; });

    fields.in(FieldGroup::sensor);
    fields.text(
        "channels.pot", FieldKind::channel, tr("Pot's channel"), [](Batch & b) -> auto& { return b.pot_channel; });
    fields.number(
        "sensor.lag_s", tr("Lag of the probes"), "s", [](Batch & b) -> auto& { return b.sensor_lag_s; });
}

void uncertaintyAndNotes(Fields& fields) {
    fields.in(FieldGroup::uncertainty);
    fields.number(
        "uncertainty.specific_heat_rel", tr("Specific heat"), "",
        [](Batch & b) -> auto& { return b.uncertainty.specific_heat_rel; });
    fields.number(
        "uncertainty.vessel_j_per_k", tr("Vessel"), "J/K",
        [](Batch & b) -> auto& { return b.uncertainty.vessel_j_per_k; });
    fields.number(
        "uncertainty.surroundings_k", tr("Surroundings"), "K",
        [](Batch & b) -> auto& { return b.uncertainty.surroundings_k; });
    fields.number(
        "uncertainty.lag_s", tr("Lag"), "s", [](Batch & b) -> auto& { return b.uncertainty.lag_s; });
    fields.number(
        "uncertainty.heat_of_reaction_rel", tr("Heat of reaction"), "",
        [](Batch & b) -> auto& { return b.uncertainty.heat_of_reaction_rel; });
    fields.number(
        "uncertainty.thermocouple_k", tr("Thermocouple"), "K",
        [](Batch & b) -> auto& { return b.uncertainty.thermocouple_k; });

    fields.in(FieldGroup::notes);
    fields.text(
        "batch.name", FieldKind::text, tr("Name"), [](Batch & b) -> auto& { return b.name; });
    fields.text(
        "batch.based_on", FieldKind::text, tr("Based on"), [](Batch & b) -> auto& { return b.based_on; });
    fields.text(
        "batch.second_heating_of", FieldKind::text, tr("Second heating of"),
        [](Batch & b) -> auto& { return b.second_heating_of; });
    fields.text(
        "batch.notes", FieldKind::longText, tr("Notes"), [](Batch & b) -> auto& { return b.notes; });
}

void outcome(Fields& fields) {
    fields.in(FieldGroup::outcome);
    fields.number(
        "outcome.density_g_per_ml", tr("Density"), "g/mL",
        [](Batch & b) -> auto& { return b.outcome.density_g_per_ml; });
    fields.number(
        "outcome.weighed_dry_g", tr("Weighed dry"), "g", [](Batch & b) -> auto& { return b.outcome.weighed_dry_g; });
    fields.number(
        "outcome.weighed_in_water_g", tr("Weighed in water"), "g",
        [](Batch & b) -> auto& { return b.outcome.weighed_in_water_g; });
    fields.number(
        "outcome.void_percent", tr("Voids"), "%", [](Batch & b) -> auto& { return b.outcome.void_percent; });
    fields.choice<Foam>(
        "outcome.foam", tr("Foam"),
        {{Foam::none, {"none", tr("none")}},
         {Foam::edge, {"edge", tr("at the edge")}},
         {Foam::through, {"through", tr("through and through")}}},
        [](Batch & b) -> auto& { return b.outcome.foam; });
    fields.choice<SolventTest>(
        "outcome.solvent_test", tr("In solvent it"),
        {{SolventTest::soluble, {"soluble", tr("dissolves")}},
         {SolventTest::swells, {"swells", tr("swells")}},
         {SolventTest::insoluble, {"insoluble", tr("stays as it is")}}},
        [](Batch & b) -> auto& { return b.outcome.solvent_test; });
    fields.text(
        "outcome.hardness", FieldKind::text, tr("Hardness"), [](Batch & b) -> auto& { return b.outcome.hardness; });
}

} // namespace

std::vector<FormField> formFields() {
    std::vector<FormField> all;
    Fields fields(all);
    chargeAndVessel(fields);
    dose(fields);
    heaterToSensor(fields);
    uncertaintyAndNotes(fields);
    outcome(fields);
    return all;
}

QString titleOf(FieldGroup group) {
    switch (group) {
    case FieldGroup::charge:
        return tr("Charge");
    case FieldGroup::vessel:
        return tr("Vessel");
    case FieldGroup::surroundings:
        return tr("Surroundings");
    case FieldGroup::dose:
        return tr("Dose");
    case FieldGroup::heater:
        return tr("Heater");
    case FieldGroup::reference:
        return tr("Reference heat");
    case FieldGroup::weighed:
        return tr("Weighed");
    case FieldGroup::sensor:
        return tr("Sensor and probes");
    case FieldGroup::uncertainty:
        return tr("Standard uncertainties");
    case FieldGroup::notes:
        return tr("Notes");
    case FieldGroup::outcome:
        return tr("Outcome");
    }
    return {};
}

} // namespace potwatch::window
