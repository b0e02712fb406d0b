// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/window/record/alarm_sound.h"
#include "app/window/record/errands.h"
#include "app/window/record/recorder.h"

#include <QWidget>

#include <functional>
#include <optional>
#include <string>
#include <vector>

class QLabel;
class QStackedWidget;

namespace potwatch::window {

class BigWords;
class HeatBar;
class LiveChart;
class LogColumn;
class PotForm;
class RecordSetup;
class Settings;
class WarningBand;

// The page on which a cure is recorded: first the device and the pot, then one sentence, the heat bar, the chart and
// the log. A warning is seen over the whole width and heard until somebody says that it was seen.
class RecordPage : public QWidget {
    Q_OBJECT

public:
    // `book` = the path of the book to record into.
    RecordPage(Settings& settings, std::function<QString()> book, QWidget* parent = nullptr);
    ~RecordPage() override;

    void setPrevious(const std::optional<Batch>& batch, const std::string& name); // "same as last run"
    void setPot(const Batch& batch, const QString& what); // into the form, where undo takes it back
    void lookForPorts();

    [[nodiscard]] bool isRecording() const { return recorder_.isRecording(); }
    void stop(); // asks nothing and loses nothing; `ended` follows

    // Lets go of what was connected before. Nothing is recorded yet.
    void connectTo(Result<std::unique_ptr<serial::ByteSource>> source, const serial::Device& device);
    void practise(double speed); // real seconds become that many of the cure; records as soon as the pot is there

Q_SIGNALS:
    void began();
    void warned(const QString& what, const QString& advice);
    void ended(const potwatch::session::RecordingEnded& news);

private:
    // Building (record_page.cpp, record_keys.cpp).
    void build();
    QWidget* livePane();
    QWidget* formPane();
    void buildKeys();
    void listen();
    void listenToSetup();

    // From device to run (record_start.cpp).
    void connectToPort();
    void record(const std::vector<std::string>& tags = {});
    void begin(const session::RunWanted& wanted);
    void tryCommand();
    void sayTrouble(const std::vector<Fault>& faults);

    void showState();
    void showWarning();
    void showForm(bool shown); // beside the chart, in place of the log
    void hasEnded(const session::RecordingEnded& news);
    void log(double time_s, const QString& words);
    [[nodiscard]] QString readingsText() const;
    [[nodiscard]] QString lagText() const;
    [[nodiscard]] QString countsText() const;

    Settings& settings_;
    std::function<QString()> book_;
    Recorder recorder_{this};
    AlarmSound sound_{this};
    WarningBand* band_ = nullptr;
    BigWords* sentence_ = nullptr;
    QLabel* readings_ = nullptr;
    QStackedWidget* stack_ = nullptr;
    RecordSetup* setup_ = nullptr;
    QWidget* live_ = nullptr;
    HeatBar* bar_ = nullptr;
    LiveChart* chart_ = nullptr;
    QStackedWidget* side_ = nullptr;
    LogColumn* log_ = nullptr;
    PotForm* live_form_ = nullptr;
    QString last_warning_;
    QString last_advice_;
    bool has_stood_ = false;    // the last warning, in a state that was looked at
    bool is_preparing_ = false; // the pretend pot
    Errands errands_;           // last: what they fetch is taken above
};

} // namespace potwatch::window
