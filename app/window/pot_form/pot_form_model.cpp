// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/pot_form/pot_form_model.h"

#include "analysis/chemistry/piece_density.h"
#include "analysis/chemistry/water.h"
#include "app/format/number.h"
#include "app/format/quantity_text.h"
#include "app/format/stand_in.h"
#include "app/format/text.h"
#include "app/session/batch_check.h"
#include "app/session/whole_file.h"
#include "io/batch/batch_file.h"

#include <algorithm>
#include <cmath>
#include <utility>

namespace potwatch::window {
namespace {

constexpr double usual_pressure_kpa = 101.325;
constexpr double usual_water_c = 20.0;

QString text(std::string_view words) {
    return QString::fromUtf8(words.data(), static_cast<qsizetype>(words.size()));
}

double rounded(double value, double step) {
    return step * std::round(value / step);
}

// "resin 80 g", "specific heat 2 J/(g K)".
QString withUnit(const QString& value, const std::string& unit) {
    return unit.empty() ? value : value + QLatin1Char(' ') + text(unit);
}

// What is refused, in the words of the batch file, but by the name that the field has in the form.
QString wordsOf(const Fault& fault, const FormField* field) {
    std::string what = fault.what;
    if (field != nullptr) {
        const std::size_t dot = field->place.find_last_of('.');
        const std::string name = field->place.substr(dot + 1) + " in [" + field->place.substr(0, dot) + "]";
        if (const std::size_t at = what.find(name); at != std::string::npos) {
            what.replace(at, name.size(), field->label.toStdString());
        }
    }
    QString said = text(what);
    if (!fault.remedy.empty()) {
        said += QStringLiteral("; ") + text(fault.remedy);
    }
    return said;
}

} // namespace

PotFormModel::PotFormModel(QObject* parent)
    : QObject(parent)
    , fields_(formFields()) {}

void PotFormModel::setRun(std::shared_ptr<const session::RunView> run) {
    const bool same = run && run_ && run->id == run_->id;
    run_ = std::move(run);
    batch_ = run_ ? run_->notes.batch : Batch{};
    if (!same) {
        problems_.clear();
        import_faults_.clear();
    }
    Q_EMIT changed();
}

void PotFormModel::setBatch(const Batch& batch) {
    if (batch != batch_) {
        batch_ = batch;
        Q_EMIT changed();
    }
}

const FormField* PotFormModel::field(std::string_view place) const {
    const auto found =
        std::find_if(fields_.begin(), fields_.end(), [&](const FormField& field) { return field.place == place; });
    return found == fields_.end() ? nullptr : &*found;
}

QString PotFormModel::text(std::string_view place) const {
    const FormField* const one = field(place);
    if (one == nullptr) {
        return {};
    }
    if (one->kind == FieldKind::number) {
        const std::optional<double> value = one->number(batch_);
        return value ? window::text(format::fieldText(*value)) : QString();
    }
    return window::text(one->text(batch_));
}

QString PotFormModel::placeholder(std::string_view place) const {
    const FormField* const one = field(place);
    if (one == nullptr || one->kind != FieldKind::number || !run_) {
        return {};
    }
    const std::string value =
        run_->analysis ? format::standInFor(place, run_->analysis->findings).value : std::string();
    return value.empty() ? tr("not stated") : tr("uses %1").arg(window::text(value));
}

QString PotFormModel::hint(std::string_view place) const {
    const FormField* const one = field(place);
    if (one == nullptr || !run_) {
        return {};
    }
    if (one->kind == FieldKind::number && !one->number(batch_) && run_->analysis) {
        return window::text(format::standInFor(place, run_->analysis->findings).sentence);
    }
    if (one->kind == FieldKind::number && !one->number(batch_)) {
        return tr("Not stated.");
    }
    return {};
}

QString PotFormModel::problem(std::string_view place) const {
    const auto found = problems_.find(place);
    return found == problems_.end() ? QString() : found->second;
}

QStringList PotFormModel::channels(std::string_view place) const {
    QStringList names;
    if (run_) {
        for (const std::string& channel : run_->channels) {
            names.push_back(window::text(channel));
        }
    }
    if (const QString stated = text(place); !stated.isEmpty() && !names.contains(stated)) {
        names.push_back(stated);
    }
    return names;
}

bool PotFormModel::isShown(std::string_view place) const {
    if (place == "charge.resin_g" || place == "charge.specific_heat_j_per_g_k") {
        return !batch_.blank;
    }
    return place != "charge.water_g" || batch_.blank || batch_.charge.water_g;
}

void PotFormModel::refuse(std::string_view place, const QString& why) {
    problems_[std::string(place)] = why;
    Q_EMIT problemChanged(window::text(place));
}

void PotFormModel::forgetProblem(std::string_view place) {
    if (const auto found = problems_.find(place); found != problems_.end()) {
        problems_.erase(found);
        Q_EMIT problemChanged(window::text(place));
    }
}

// "resin 80 to 85 g", "resin 80 g", "resin taken out".
QString PotFormModel::changeOf(const FormField& field, const Batch& after) const {
    const auto shown = [&](const Batch& batch) {
        if (field.kind == FieldKind::number) {
            const std::optional<double> value = field.number(batch);
            return value ? window::text(format::numberText(*value)) : QString();
        }
        const std::string stored = field.text(batch);
        for (const auto& [value, words] : field.choices) {
            if (value == stored) {
                return stored.empty() ? QString() : words;
            }
        }
        return window::text(format::shortened(format::oneLine(stored), 24));
    };
    const auto lower = [](QString words) {
        words[0] = words.at(0).toLower();
        return words;
    };
    QString name = lower(field.label);
    if (field.group != FieldGroup::charge && field.group != FieldGroup::weighed && field.group != FieldGroup::notes &&
        field.group != FieldGroup::outcome) {
        name = lower(titleOf(field.group)) + QStringLiteral(": ") + name;
    }
    if (field.kind == FieldKind::flag) {
        return field.text(after).empty() ? tr("no longer a blank") : tr("a blank");
    }
    if (field.kind == FieldKind::longText) {
        return tr("notes");
    }
    const QString before = shown(batch_);
    const QString now = shown(after);
    if (now.isEmpty()) {
        return tr("%1 taken out").arg(name);
    }
    if (before.isEmpty()) {
        return QStringLiteral("%1 %2").arg(name, withUnit(now, field.unit));
    }
    return tr("%1 %2 to %3", "resin 80 to 85 g").arg(name, before, withUnit(now, field.unit));
}

bool PotFormModel::commit(std::string_view place, const QString& typed, Refusal refusal) {
    const FormField* const one = field(place);
    if (one == nullptr || !run_) {
        return false;
    }
    Batch after = batch_;
    if (one->kind == FieldKind::number) {
        const QString trimmed = typed.trimmed();
        std::optional<double> value;
        if (!trimmed.isEmpty()) {
            const Result<double> read = format::quantityOf(trimmed.toStdString(), one->unit);
            if (!read) {
                if (refusal == Refusal::told) {
                    refuse(place, wordsOf(read.error(), one));
                }
                return false;
            }
            value = *read;
        }
        if (value == one->number(batch_)) {
            forgetProblem(place);
            return true;
        }
        one->setNumber(after, value);
    } else {
        const std::string value =
            one->kind == FieldKind::longText ? typed.toStdString() : typed.trimmed().toStdString();
        if (value == one->text(batch_)) {
            forgetProblem(place);
            return true;
        }
        one->setText(after, value);
    }
    return replace(after, changeOf(*one, after), place, refusal);
}

bool PotFormModel::replace(const Batch& batch, const QString& what, std::string_view place, Refusal refusal) {
    if (!run_) {
        return false;
    }
    const std::vector<Fault> faults = session::newFaults(batch_, batch);
    if (!faults.empty()) {
        if (refusal == Refusal::told) {
            refuse(place, wordsOf(faults.front(), field(place)));
        }
        return false;
    }
    problems_.erase(std::string(place));
    if (batch == batch_) {
        Q_EMIT problemChanged(window::text(place));
        return true;
    }
    batch_ = batch;
    Q_EMIT changed();
    Q_EMIT batchEdited(batch_, what);
    return true;
}

std::span<const chemistry::TypicalValue> PotFormModel::typicalValues(std::string_view place) const {
    if (place == "charge.specific_heat_j_per_g_k") {
        return chemistry::resinSpecificHeats();
    }
    if (place == "cure.heat_of_reaction_j_per_g") {
        return chemistry::heatsOfReaction();
    }
    if (place == "vessel.heat_capacity_j_per_k") {
        return chemistry::vesselSpecificHeats();
    }
    return {};
}

QString PotFormModel::typicalText(const chemistry::TypicalValue& typical, const std::string& unit) {
    return tr("%1: %2 (%3 to %4)")
        .arg(window::text(typical.of), withUnit(window::text(format::numberText(typical.value)), unit),
             window::text(format::numberText(typical.low)), window::text(format::numberText(typical.high)));
}

bool PotFormModel::takeTypical(std::string_view place, const chemistry::TypicalValue& typical) {
    const FormField* const one = field(place);
    if (one == nullptr) {
        return false;
    }
    Batch after = batch_;
    one->setNumber(after, typical.value);
    const double relative = rounded(typical.u / typical.value, 0.01);
    if (place == "charge.specific_heat_j_per_g_k") {
        after.uncertainty.specific_heat_rel = relative;
    } else {
        after.uncertainty.heat_of_reaction_rel = relative;
    }
    if (!replace(after, changeOf(*one, after) + tr(", as usual"), place)) {
        return false;
    }
    Q_EMIT message(tr("%1 %2 with a standard uncertainty of %3 %, for %4. Source: %5.")
                       .arg(one->label, withUnit(window::text(format::numberText(typical.value)), one->unit),
                            QString::number(std::lround(100.0 * relative)), window::text(typical.of),
                            window::text(typical.source)));
    return true;
}

bool PotFormModel::takeVessel(const chemistry::TypicalValue& material, double mass_g) {
    const chemistry::VesselHeatCapacity found = chemistry::vesselHeatCapacity(mass_g, material);
    Batch after = batch_;
    after.vessel.heat_capacity_j_per_k = rounded(found.value_j_per_k, 0.1);
    after.uncertainty.vessel_j_per_k = rounded(found.u_j_per_k, 0.1);
    const QString what =
        tr("vessel of %1 g of %2").arg(window::text(format::numberText(mass_g)), window::text(material.of));
    if (!replace(after, what, "vessel.heat_capacity_j_per_k")) {
        return false;
    }
    Q_EMIT message(tr("%1 g of %2 hold %3 J/K, with a standard uncertainty of %4 J/K. Source: %5.")
                       .arg(window::text(format::numberText(mass_g)), window::text(material.of),
                            window::text(format::numberText(*after.vessel.heat_capacity_j_per_k)),
                            window::text(format::numberText(*after.uncertainty.vessel_j_per_k)),
                            window::text(material.source)));
    return true;
}

bool PotFormModel::takeBoilingOfWater() {
    const double pressure_kpa = batch_.surroundings.pressure_kpa.value_or(usual_pressure_kpa);
    const Result<double> boiling_c = chemistry::saturationTemperatureC(pressure_kpa);
    if (!boiling_c) {
        refuse("charge.boiling_c", wordsOf(boiling_c.error(), nullptr));
        return false;
    }
    Batch after = batch_;
    after.charge.boiling_c = rounded(*boiling_c, 0.1);
    if (!replace(after, changeOf(*field("charge.boiling_c"), after), "charge.boiling_c")) {
        return false;
    }
    Q_EMIT message(tr("Water boils at %1 °C at %2 kPa (IAPWS-IF97); a resin boils a little higher.")
                       .arg(window::text(format::numberText(*after.charge.boiling_c)),
                            window::text(format::numberText(pressure_kpa))));
    return true;
}

bool PotFormModel::canTakePrevious() const {
    return run_ && run_->previous.has_value();
}

QString PotFormModel::previousName() const {
    return run_ ? window::text(format::oneLine(run_->previous_name)) : QString();
}

bool PotFormModel::takePrevious() {
    if (!canTakePrevious()) {
        return false;
    }
    Batch after = *run_->previous;
    after.file = batch_.file;
    after.name = batch_.name;
    after.started = batch_.started;
    after.events = batch_.events;
    after.outcome = batch_.outcome;
    if (!run_->previous_name.empty()) {
        after.based_on = run_->previous_name;
    }
    const QString name = previousName();
    if (after == batch_) {
        Q_EMIT message(tr("The form is the same as that of the last run already."));
        return true;
    }
    return replace(after, name.isEmpty() ? tr("same as last run") : tr("same as %1").arg(name), "batch.based_on");
}

std::vector<session::Rung> PotFormModel::ladder() const {
    return session::ladder(batch_, run_ && run_->analysis ? &run_->analysis->findings : nullptr);
}

bool PotFormModel::importToml(const QString& file) {
    if (!run_) {
        return false;
    }
    auto read = batch::readFile(file.toStdString());
    import_faults_ = read ? std::vector<Fault>{} : read.error();
    if (!read) {
        Q_EMIT changed();
        return false;
    }
    Batch after = *std::move(read);
    after.name = batch_.name.empty() ? after.name : batch_.name;
    after.started = batch_.started ? batch_.started : after.started;
    after.events = after.events.empty() ? batch_.events : after.events;
    after.outcome = after.outcome == Outcome{} ? batch_.outcome : after.outcome;
    return replace(after, tr("batch file %1").arg(window::text(format::fileNameOf(file.toStdString()))), "batch.name");
}

bool PotFormModel::exportToml(const QString& file) {
    const Result<void> written = session::writeWholeFile(file.toStdString(), batch::write(batch_));
    Q_EMIT message(written ? tr("Batch file written: %1").arg(file) : window::text(describe(written.error())));
    return written.has_value();
}

std::optional<Result<double>> PotFormModel::densityOfWeighings() const {
    const Outcome& outcome = batch_.outcome;
    if (!outcome.weighed_dry_g || !outcome.weighed_in_water_g) {
        return std::nullopt;
    }
    return chemistry::pieceDensityGPerMl({.dry_g = *outcome.weighed_dry_g,
                                          .in_water_g = *outcome.weighed_in_water_g,
                                          .water_c = batch_.surroundings.temperature_c.value_or(usual_water_c)});
}

QString PotFormModel::weighedDensity() const {
    const std::optional<Result<double>> density = densityOfWeighings();
    if (!density) {
        return {};
    }
    if (!*density) {
        return wordsOf(density->error(), nullptr);
    }
    const double water_c = batch_.surroundings.temperature_c.value_or(usual_water_c);
    const double water = chemistry::waterDensityGPerMl(water_c).value_or(1.0);
    return tr("The weighings say %1 g/mL (water %2 g/mL at %3 °C%4).")
        .arg(QString::number(**density, 'f', 3), QString::number(water, 'f', 4),
             window::text(format::numberText(water_c)),
             batch_.surroundings.temperature_c ? tr(", the surroundings'") : tr(", as no temperature is stated"));
}

bool PotFormModel::canTakeWeighedDensity() const {
    const std::optional<Result<double>> density = densityOfWeighings();
    return density && *density && batch_.outcome.density_g_per_ml != rounded(**density, 0.001);
}

bool PotFormModel::takeWeighedDensity() {
    const std::optional<Result<double>> density = densityOfWeighings();
    if (!density || !*density) {
        return false;
    }
    Batch after = batch_;
    after.outcome.density_g_per_ml = rounded(**density, 0.001);
    return replace(after, changeOf(*field("outcome.density_g_per_ml"), after), "outcome.density_g_per_ml");
}

} // namespace potwatch::window
