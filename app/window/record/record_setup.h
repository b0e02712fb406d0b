// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/recording.h"
#include "app/window/pot_form/pot_form_model.h"
#include "io/serial/port/port_list.h"

#include <QWidget>

#include <memory>
#include <optional>
#include <thread>
#include <vector>

class QComboBox;
class QDoubleSpinBox;
class QLabel;
class QLineEdit;
class QPushButton;

namespace potwatch::window {

class PotForm;

// Before a run is recorded: which device, how its lines are read, what is known of the pot.
class RecordSetup : public QWidget {
    Q_OBJECT

public:
    explicit RecordSetup(QWidget* parent = nullptr);
    ~RecordSetup() override;

    // For "same as last run"; null where there is none.
    void setPrevious(const std::optional<Batch>& batch, const std::string& name);
    void lookForPorts();

    [[nodiscard]] QString port() const; // empty = there is none to choose
    void setFound(const QString& words);
    void setReadings(const QString& words);
    void setConnection(bool connected, bool ready);
    void setTrouble(const QString& words); // of the device

    // Name, batch and limit as they stand in the form.
    [[nodiscard]] session::RunWanted wanted() const;
    void forgetName(); // it was that run's

Q_SIGNALS:
    void connectWanted();
    void letGoWanted();
    void recordWanted();
    void practiceWanted(double speed);
    void soundWanted();

private:
    void showPorts(const Result<std::vector<serial::PortInfo>>& ports);
    QWidget* deviceColumn();

    PotFormModel form_;
    PotForm* form_view_ = nullptr;
    QComboBox* ports_ = nullptr;
    QPushButton* connect_ = nullptr;
    QPushButton* record_ = nullptr;
    QLabel* found_ = nullptr;
    QLabel* readings_ = nullptr;
    QLabel* trouble_ = nullptr;
    QLineEdit* name_ = nullptr;
    QDoubleSpinBox* limit_ = nullptr;
    bool is_connected_ = false;
    std::jthread looking_;
};

} // namespace potwatch::window
