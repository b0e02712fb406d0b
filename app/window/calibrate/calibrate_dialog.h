// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/calibrate_probe.h"
#include "app/window/calibrate/dialog_parts.h"
#include "app/window/record/errands.h"
#include "io/serial/port/port_list.h"

#include <QDialog>
#include <tl/expected.hpp>

#include <cstdint>
#include <string>
#include <vector>

class QPlainTextEdit;
class QPushButton;
class QTableWidget;

namespace potwatch::window {

// Finds how far probes are off, from a run of the book in which they hung in melting ice or in boiling water, or were
// plunged; keeps that when asked to, and shows what is known of all probes. Files are read and written beside the
// window's thread.
class CalibrateDialog : public QDialog {
    Q_OBJECT

public:
    // folder: where calibrations are kept.
    CalibrateDialog(QString folder, ChosenBook book, QWidget* parent = nullptr);

    void setBook(ChosenBook book); // as it is now

private:
    using Known = tl::expected<std::vector<session::KnownProbe>, batch::Faults>;
    struct Measured {
        session::ProbesMeasured of;
        std::vector<std::string> warnings;
    };

    [[nodiscard]] QWidget* buildMeasuring();
    [[nodiscard]] QWidget* buildKnown();
    [[nodiscard]] session::CalibrationKind kind() const;
    void fillDevices();
    void chooseDevice();
    void measure();
    void showMeasured(Measured measured, session::CalibrationKind kind);
    void keep();
    void forget();
    void change(session::CalibrationChange change, const QString& done);
    void showKnown(const Known& known);
    void showRemark();

    const QString folder_;
    ChosenBook book_;
    std::vector<session::KnownProbe> known_;
    std::vector<serial::PortInfo> ports_;
    std::vector<session::ProbeMeasured> measured_;
    std::uint64_t ticket_ = 0; // of the measurement that was asked for last

    QComboBox* kind_ = nullptr;
    QLabel* how_ = nullptr;
    QComboBox* run_ = nullptr;
    QLineEdit* pressure_ = nullptr;
    QLabel* pressure_label_ = nullptr;
    QComboBox* device_ = nullptr;
    QPlainTextEdit* result_ = nullptr;
    QPushButton* keep_ = nullptr;
    QLabel* said_ = nullptr;
    QTableWidget* table_ = nullptr;
    QLabel* remark_ = nullptr;
    QPushButton* forget_ = nullptr;

    Errands errands_{this}; // last: what it fetches is taken by the rest
};

} // namespace potwatch::window
