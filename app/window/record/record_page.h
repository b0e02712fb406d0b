// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/window/record/alarm_sound.h"
#include "app/window/record/recorder.h"

#include <QWidget>

#include <functional>
#include <optional>
#include <string>
#include <vector>

class QFrame;
class QLabel;
class QLineEdit;
class QListWidget;
class QPushButton;
class QStackedWidget;

namespace potwatch::window {

class HeatBar;
class LiveChart;
class RecordSetup;

// The page on which a cure is recorded: first the device and the pot, then one sentence, the chart and the log. A
// warning is seen over the whole width and heard until somebody says that it was seen.
class RecordPage : public QWidget {
    Q_OBJECT

public:
    // `book` = the path of the book to record into.
    explicit RecordPage(std::function<QString()> book, QWidget* parent = nullptr);
    ~RecordPage() override;

    void setPrevious(const std::optional<Batch>& batch, const std::string& name); // "same as last run"
    void lookForPorts();
    void setSettingsFolder(const QString& folder) { settings_ = folder; } // where calibrations are kept

    [[nodiscard]] bool isRecording() const { return recorder_.isRecording(); }
    void stop(); // asks nothing and loses nothing; `ended` follows

    // Connects, and records as soon as it can where that is wanted.
    void connectTo(Result<std::unique_ptr<serial::ByteSource>> source, const serial::Device& device);
    void practise(double speed); // real seconds become that many of the cure

Q_SIGNALS:
    void began();
    void ended(const potwatch::session::RecordingEnded& news);

private:
    void build();
    QWidget* livePane();
    QWidget* logColumn();
    void buildKeys();
    void listen();
    void record(const std::vector<std::string>& tags = {});
    void showState();
    void showWarning();
    void log(double time_s, const QString& text);
    [[nodiscard]] QString readingsText() const;
    [[nodiscard]] static QString keysText();
    [[nodiscard]] static std::size_t potOf(const std::vector<session::LiveChannel>& channels,
                                           const std::string& stated);

    std::function<QString()> book_;
    QString settings_;
    Recorder recorder_{this};
    AlarmSound sound_{this};
    QFrame* band_ = nullptr;
    QLabel* band_words_ = nullptr;
    QPushButton* seen_ = nullptr;
    QLabel* sentence_ = nullptr;
    QLabel* readings_ = nullptr;
    QStackedWidget* stack_ = nullptr;
    RecordSetup* setup_ = nullptr;
    QWidget* live_ = nullptr;
    HeatBar* bar_ = nullptr;
    LiveChart* chart_ = nullptr;
    QListWidget* log_ = nullptr;
    QLineEdit* note_ = nullptr;
    QPushButton* stop_ = nullptr;
    QString last_warning_;
    std::optional<session::RunWanted> waiting_; // to be recorded as soon as lines come
};

} // namespace potwatch::window
