// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/chemistry/typical_values.h"
#include "app/session/ladder.h"
#include "app/session/run_view.h"
#include "app/window/pot_form/form_fields.h"

#include <QObject>
#include <QString>
#include <QStringList>

#include <map>
#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace potwatch::window {

// The pot form's state and words: the batch of a run, field by field. An edit is checked by the rules of the batch file
// and comes out as a whole new batch, with words for the undo menu; what cannot be is refused beside its field.
class PotFormModel : public QObject {
    Q_OBJECT

public:
    explicit PotFormModel(QObject* parent = nullptr);

    void setRun(std::shared_ptr<const session::RunView> run); // null: no run
    void setBatch(const Batch& batch);                        // changed elsewhere: an event, an undo

    [[nodiscard]] bool hasRun() const { return run_ != nullptr; }
    [[nodiscard]] const Batch& batch() const { return batch_; }
    [[nodiscard]] const std::vector<FormField>& fields() const { return fields_; }
    [[nodiscard]] const FormField* field(std::string_view place) const;

    [[nodiscard]] QString text(std::string_view place) const;        // what stands in the field
    [[nodiscard]] QString placeholder(std::string_view place) const; // of an empty field: what stands in for it
    [[nodiscard]] QString hint(std::string_view place) const;        // a sentence about the field
    [[nodiscard]] QString problem(std::string_view place) const;     // why the last entry was refused; else empty
    [[nodiscard]] QStringList channels(std::string_view place) const;
    // For the fields of a charge: resin in a cure, water in a blank.
    [[nodiscard]] bool isShown(std::string_view place) const;

    enum class Refusal { told, silent }; // silent: of what may be half typed
    // Takes what was typed. True where it stands now (also where nothing changed).
    bool commit(std::string_view place, const QString& typed, Refusal refusal = Refusal::told);
    // Takes a whole batch; refused with the first new fault beside `place`.
    bool replace(const Batch& batch, const QString& what, std::string_view place, Refusal refusal = Refusal::told);
    void forgetProblem(std::string_view place);
    void reportProblem(std::string_view place, const QString& why) { refuse(place, why); }

    // Usual values for a field of the form; empty where there are none.
    [[nodiscard]] std::span<const chemistry::TypicalValue> typicalValues(std::string_view place) const;
    [[nodiscard]] static QString typicalText(const chemistry::TypicalValue& typical, const std::string& unit);
    // Writes the value and its standard uncertainty.
    bool takeTypical(std::string_view place, const chemistry::TypicalValue& typical);
    bool takeVessel(const chemistry::TypicalValue& material, double mass_g);
    // The boiling point of water at the stated air pressure, or at 101.325 kPa.
    bool takeBoilingOfWater();

    // Fills the form from the run before; name, start, events and outcome stay this run's.
    [[nodiscard]] bool canTakePrevious() const;
    [[nodiscard]] QString previousName() const;
    bool takePrevious();

    [[nodiscard]] std::vector<session::Rung> ladder() const;

    // TOML in and out. An import keeps this run's name, start, events and outcome where the file has none.
    bool importToml(const QString& file);
    bool exportToml(const QString& file);
    [[nodiscard]] const std::vector<Fault>& importFaults() const { return import_faults_; }

    // Density of the piece [g/mL] from its weighings, as a sentence; empty where it was not weighed.
    [[nodiscard]] QString weighedDensity() const;
    [[nodiscard]] bool canTakeWeighedDensity() const; // it is another than the density stated
    bool takeWeighedDensity();

Q_SIGNALS:
    void changed(); // all fields, hints and problems may have
    void problemChanged(const QString& place);
    void batchEdited(const potwatch::Batch& batch, const QString& what);
    void message(const QString& text);

private:
    [[nodiscard]] QString changeOf(const FormField& field, const Batch& after) const;
    [[nodiscard]] std::optional<Result<double>> densityOfWeighings() const;
    void refuse(std::string_view place, const QString& why);

    std::vector<FormField> fields_;
    std::shared_ptr<const session::RunView> run_;
    Batch batch_;
    std::map<std::string, QString, std::less<>> problems_;
    std::vector<Fault> import_faults_;
};

} // namespace potwatch::window
