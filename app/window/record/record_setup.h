// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/recording.h"
#include "app/window/pot_form/pot_form_model.h"
#include "app/window/record/errands.h"
#include "app/window/record/form_undo.h"
#include "io/serial/port/port_list.h"

#include <QWidget>

#include <memory>
#include <optional>
#include <string>
#include <vector>

class QComboBox;
class QDoubleSpinBox;
class QLabel;
class QLineEdit;
class QPushButton;
class QVBoxLayout;

namespace potwatch::window {

class BenchSetup;
class PotForm;
class Settings;

// Before a run is recorded: which device, how its lines are read, what is known of the pot. The form of the pot goes on
// while it is recorded.
class RecordSetup : public QWidget {
    Q_OBJECT

public:
    explicit RecordSetup(QWidget* parent = nullptr);
    ~RecordSetup() override;

    void restore(const Settings& settings);
    void save(Settings& settings) const;

    // For "same as last run"; null where there is none. Steps of its dose that were done by hand do not count.
    void setPrevious(const std::optional<Batch>& batch, const std::string& name);
    void lookForPorts();

    [[nodiscard]] QString port() const; // chosen or typed; empty = none
    void setFound(const QString& words);
    void setReadings(const QString& words);
    void setTrouble(const QString& words); // of the device

    // Those that the device sends, to be chosen in the form; what the form says of others is taken out of it.
    void setChannels(const std::vector<session::LiveChannel>& channels);
    void setDevice(bool connected, bool ready);

    // Name, batch, limit and command as they stand.
    [[nodiscard]] session::RunWanted wanted() const;
    void forgetRun(); // name and form were that run's

    [[nodiscard]] PotFormModel& form() { return form_; }
    [[nodiscard]] FormUndo& formUndo() { return undo_; }
    void setBatch(const Batch& batch); // changed otherwise than in the form
    [[nodiscard]] BenchSetup& bench() { return *bench_; }

Q_SIGNALS:
    void connectWanted();
    void letGoWanted();
    void recordWanted();
    void batchEdited(const potwatch::Batch& batch);
    void practiceWanted(double speed);
    void soundWanted();

private:
    void showPorts(const Result<std::vector<serial::PortInfo>>& ports);
    void showForm();
    void leaveOutMissing();
    void showButtons();
    QWidget* leftColumn();
    void addThermometer(QVBoxLayout& column);
    void addRun(QVBoxLayout& column);
    void addPractice(QVBoxLayout& column);

    PotFormModel form_;
    FormUndo undo_{form_};
    PotForm* form_view_ = nullptr;
    std::optional<Batch> previous_;
    std::string previous_name_;
    std::vector<session::LiveChannel> channels_;
    BenchSetup* bench_ = nullptr;
    QWidget* left_ = nullptr;
    QComboBox* ports_ = nullptr;
    QPushButton* connect_ = nullptr;
    QPushButton* record_ = nullptr;
    QLabel* found_ = nullptr;
    QLabel* readings_ = nullptr;
    QLabel* trouble_ = nullptr;
    QLineEdit* name_ = nullptr;
    QDoubleSpinBox* limit_ = nullptr;
    bool is_connected_ = false;
    bool is_ready_ = false;
    QString ports_trouble_; // what was said of the ports
    Errands errands_;       // last: what they fetch is shown above
};

} // namespace potwatch::window
