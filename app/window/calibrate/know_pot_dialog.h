// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/findings/know_pot.h"
#include "app/session/one_run.h"
#include "app/window/calibrate/dialog_parts.h"
#include "app/window/record/errands.h"

#include <QDialog>
#include <tl/expected.hpp>

#include <cstdint>
#include <string>
#include <vector>

class QCheckBox;
class QPushButton;

namespace potwatch::window {

// Finds a vessel's heat capacity and how it loses heat, from a run of the book in which hot water was poured into it
// and left to cool.
class KnowPotDialog : public QDialog {
    Q_OBJECT

public:
    explicit KnowPotDialog(ChosenBook book, QWidget* parent = nullptr);

    void setBook(ChosenBook book);       // as it is now
    void choose(const book::RunId& run); // as soon as it is there

Q_SIGNALS:
    // A run is to be recorded: what stands in the fields, as a blank.
    void recordingWanted(const potwatch::Batch& batch);
    // The run's batch with what was found, as a blank: runs in the same vessel then learn its loss from it.
    void taken(const potwatch::book::RunId& run, const potwatch::Batch& batch);

private:
    struct Found {
        tl::expected<PotKnowledge, session::Faults> known;
        std::vector<std::string> warnings;
    };

    void build();
    void record();
    void runChosen(); // what it states stands in the fields
    void find();
    [[nodiscard]] Result<HotWater> waterInFields(Batch& batch) const;
    void showFound(const Found& found);
    void take();
    void save();

    ChosenBook book_;
    PotKnowledge known_;
    Batch batch_;              // of the run, with what stands in the fields
    double water_g_ = 0.0;     // that known_ was found with
    book::RunId awaited_;      // to be chosen as soon as it is there
    std::uint64_t ticket_ = 0; // of the search that was asked for last

    QComboBox* run_ = nullptr;
    QLineEdit* vessel_ = nullptr;
    QLineEdit* water_ = nullptr;
    QLineEdit* water_temperature_ = nullptr;
    QLineEdit* room_ = nullptr;
    QLineEdit* vessel_temperature_ = nullptr;
    QLineEdit* lost_ = nullptr;
    QCheckBox* covered_ = nullptr;
    QLabel* result_ = nullptr;
    QLabel* notes_ = nullptr;
    QPushButton* record_ = nullptr;
    QPushButton* take_ = nullptr;
    QPushButton* save_ = nullptr;

    Errands errands_{this}; // last: what it fetches is taken by the rest
};

} // namespace potwatch::window
