// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/record/record_page.h"

#include "app/format/watch_text.h"
#include "app/session/pretend.h"
#include "app/window/notice_bar.h"
#include "app/window/record/heat_bar.h"
#include "app/window/record/live_chart.h"
#include "app/window/record/record_setup.h"
#include "io/serial/port/port_source.h"

#include <QFrame>
#include <QHBoxLayout>
#include <QLabel>
#include <QLineEdit>
#include <QListWidget>
#include <QPushButton>
#include <QStackedWidget>
#include <QVBoxLayout>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace potwatch::window {
namespace {

using namespace Qt::StringLiterals;
using Phase = session::RecordingState::Phase;

constexpr double sentence_size = 2.2; // of the text size: to be read from two metres
constexpr int most_log_lines = 2000;

QString text(const std::string& words) {
    return QString::fromStdString(words);
}

QFont larger(const QFont& font, double times) {
    QFont large = font;
    if (font.pointSizeF() > 0.0) {
        large.setPointSizeF(font.pointSizeF() * times);
    }
    return large;
}

std::string clockText(double time_s) {
    const auto whole = static_cast<long>(std::max(0.0, time_s));
    return whole >= 3600 ? fmt::format("{}:{:02}:{:02}", whole / 3600, whole / 60 % 60, whole % 60)
                         : fmt::format("{:02}:{:02}", whole / 60, whole % 60);
}

const Alarm* gravestWarning(const WatchState& state) {
    const auto found = std::find_if(state.alarms.begin(), state.alarms.end(),
                                    [](const Alarm& alarm) { return alarm.level == AlarmLevel::warning; });
    return found == state.alarms.end() ? nullptr : &*found;
}

} // namespace

RecordPage::RecordPage(std::function<QString()> book, QWidget* parent)
    : QWidget(parent)
    , book_(std::move(book)) {
    setObjectName(u"recordPage"_s);
    build();
    buildKeys();
    listen();
    showState();
}

RecordPage::~RecordPage() {
    recorder_.disconnect(this); // it ends after the widgets
}

void RecordPage::build() {
    auto* const column = new QVBoxLayout(this);
    band_ = new QFrame(this);
    band_->setObjectName(u"warningBand"_s);
    band_->setAutoFillBackground(true);
    QPalette warning = band_->palette(); // Okabe-Ito orange with black on it: 9:1
    warning.setColor(QPalette::Window, QColor(230, 159, 0));
    warning.setColor(QPalette::WindowText, Qt::black);
    band_->setPalette(warning);
    auto* const band_row = new QHBoxLayout(band_);
    band_words_ = new QLabel(band_);
    band_words_->setObjectName(u"warningWords"_s);
    band_words_->setTextFormat(Qt::PlainText);
    band_words_->setWordWrap(true);
    band_words_->setFont(larger(font(), sentence_size));
    seen_ = new QPushButton(tr("I have seen it (A)"), band_);
    seen_->setObjectName(u"warningSeen"_s);
    connect(seen_, &QPushButton::clicked, &recorder_, &Recorder::acknowledge);
    band_row->addWidget(band_words_, 1);
    band_row->addWidget(seen_);
    column->addWidget(band_);
    sentence_ = new QLabel(this);
    sentence_->setObjectName(u"recordSentence"_s);
    sentence_->setTextFormat(Qt::PlainText);
    sentence_->setWordWrap(true);
    sentence_->setFont(larger(font(), sentence_size));
    column->addWidget(sentence_);
    readings_ = new QLabel(this);
    readings_->setObjectName(u"recordReadings"_s);
    readings_->setTextFormat(Qt::PlainText);
    readings_->setWordWrap(true);
    column->addWidget(readings_);
    stack_ = new QStackedWidget(this);
    setup_ = new RecordSetup(stack_);
    live_ = livePane();
    stack_->addWidget(setup_);
    stack_->addWidget(live_);
    column->addWidget(stack_, 1);
}

QWidget* RecordPage::livePane() {
    auto* const live = new QWidget(stack_);
    auto* const row = new QHBoxLayout(live);
    row->setContentsMargins(0, 0, 0, 0);
    bar_ = new HeatBar(live);
    chart_ = new LiveChart(live);
    row->addWidget(bar_);
    row->addWidget(chart_, 1);
    row->addWidget(logColumn());
    return live;
}

QWidget* RecordPage::logColumn() {
    auto* const right = new QWidget(stack_);
    right->setFixedWidth(fontMetrics().height() * 17);
    auto* const column = new QVBoxLayout(right);
    column->setContentsMargins(0, 0, 0, 0);
    log_ = new QListWidget(right);
    log_->setObjectName(u"recordLog"_s);
    log_->setAccessibleName(tr("Log, newest on top"));
    log_->setWordWrap(true);
    log_->setSelectionMode(QAbstractItemView::NoSelection);
    log_->setHorizontalScrollBarPolicy(Qt::ScrollBarAlwaysOff);
    note_ = new QLineEdit(right);
    note_->setObjectName(u"recordNote"_s);
    note_->setPlaceholderText(tr("N: a note, then Enter"));
    note_->setAccessibleName(tr("Note"));
    auto* const keys = new QLabel(keysText(), right);
    keys->setObjectName(u"recordKeys"_s);
    keys->setTextFormat(Qt::PlainText);
    keys->setWordWrap(true);
    stop_ = new QPushButton(tr("Stop (Q)"), right);
    stop_->setObjectName(u"recordStop"_s);
    connect(stop_, &QPushButton::clicked, this, &RecordPage::stop);
    column->addWidget(log_, 1);
    column->addWidget(note_);
    column->addWidget(keys);
    column->addWidget(stop_);
    return right;
}

void RecordPage::listen() {
    connect(setup_, &RecordSetup::connectWanted, this, [this] {
        if (!setup_->port().isEmpty()) {
            connectTo(serial::portSource(setup_->port().toStdString(), {}), {});
        }
    });
    connect(setup_, &RecordSetup::letGoWanted, &recorder_, &Recorder::letGo);
    connect(setup_, &RecordSetup::recordWanted, this, [this] { record(); });
    connect(setup_, &RecordSetup::practiceWanted, this, &RecordPage::practise);
    connect(setup_, &RecordSetup::soundWanted, &sound_, &AlarmSound::ring);
    connect(&recorder_, &Recorder::changed, this, &RecordPage::showState);
    connect(&recorder_, &Recorder::found, setup_, &RecordSetup::setFound);
    connect(&recorder_, &Recorder::came, chart_, &LiveChart::add);
    connect(&recorder_, &Recorder::logged, this, &RecordPage::log);
    connect(&recorder_, &Recorder::began, this, [this](const session::RunBegan& news) {
        const std::string pot = waiting_ ? waiting_->batch.pot_channel : std::string();
        chart_->begin(news.channels, potOf(news.channels, pot));
    });
    connect(&recorder_, &Recorder::warned, this, [this](const QString& what, const QString& advice) {
        last_warning_ = (what + u' ' + advice).trimmed();
        sound_.ringOn();
        showWarning();
    });
    connect(&recorder_, &Recorder::ended, this, [this](const session::RecordingEnded& news) {
        waiting_.reset();
        sound_.beStill();
        setup_->forgetName();
        stack_->setCurrentWidget(setup_);
        QString trouble;
        if (news.fault) {
            trouble = whatText(*news.fault) + u". "_s + remedyText(*news.fault);
        } else if (news.id.empty()) {
            trouble = tr("Nothing was recorded: no line had come.");
        }
        setup_->setTrouble(trouble);
        Q_EMIT ended(news);
    });
    connect(note_, &QLineEdit::returnPressed, this, [this] {
        const QString words = note_->text().trimmed();
        if (!words.isEmpty()) {
            recorder_.enter(u"note"_s, words);
        }
        note_->clear();
        log_->setFocus();
    });
}

std::size_t RecordPage::potOf(const std::vector<session::LiveChannel>& channels, const std::string& stated) {
    std::size_t first = channels.size();
    for (std::size_t i = 0; i < channels.size(); ++i) {
        if (channels[i].name == stated) {
            return i;
        }
        first = channels[i].is_temperature ? std::min(first, i) : first;
    }
    return first == channels.size() ? 0 : first;
}

void RecordPage::setPrevious(const std::optional<Batch>& batch, const std::string& name) {
    setup_->setPrevious(batch, name);
}

void RecordPage::lookForPorts() {
    setup_->lookForPorts();
}

void RecordPage::connectTo(Result<std::unique_ptr<serial::ByteSource>> source, const serial::Device& device) {
    if (isRecording()) {
        return;
    }
    setup_->setFound({});
    if (!source) {
        setup_->setTrouble(whatText(source.error()) + u". "_s + remedyText(source.error()));
        return;
    }
    setup_->setTrouble({});
    log_->clear();
    recorder_.connectTo(std::move(*source), device);
}

void RecordPage::practise(double speed) {
    connectTo(session::pretendSource({.rate_hz = 2.0, .channels = 2, .speed = speed}), {});
    if (recorder_.isConnecting()) {
        record({"practice"});
        if (waiting_) {
            log(0.0, tr("Practice with a pretend pot: nothing is measured."));
        }
    }
}

void RecordPage::record(const std::vector<std::string>& tags) {
    const bool is_practice = !tags.empty(); // which need not be looked at first
    if (!recorder_.isConnecting() || (!is_practice && recorder_.state().phase != Phase::ready)) {
        return;
    }
    session::RunWanted wanted = setup_->wanted();
    wanted.book = book_().toStdString();
    wanted.tags = tags;
    if (!is_practice) {
        wanted.settings = settings_.toStdString();
        wanted.port = setup_->port().toStdString();
    }
    if (wanted.book.empty()) {
        setup_->setTrouble(tr("There is no book to record into: make one with File, New book."));
        return;
    }
    waiting_ = wanted;
    last_warning_.clear();
    bar_->clear();
    chart_->begin({}, 0);
    recorder_.begin(wanted);
    stack_->setCurrentWidget(live_);
    log_->setFocus();
    Q_EMIT began();
    showState();
}

void RecordPage::stop() {
    recorder_.stop();
}

QString RecordPage::readingsText() const {
    const session::RecordingState& state = recorder_.state();
    std::string words;
    for (std::size_t i = 0; i < state.channels.size() && state.last; ++i) {
        const session::LiveChannel& channel = state.channels[i];
        const double value = state.last->values.at(i);
        words += fmt::format("{} {}{}    ", channel.name,
                             !channel.open.empty()  ? channel.open
                             : std::isfinite(value) ? fmt::format("{:.1f}", value)
                                                    : std::string("no reading"),
                             channel.is_temperature ? " °C"
                             : channel.unit.empty() ? ""
                                                    : " " + channel.unit);
    }
    return text(words);
}

void RecordPage::showState() {
    const session::RecordingState& state = recorder_.state();
    const bool is_live = recorder_.isRecording();
    sentence_->setVisible(is_live);
    readings_->setVisible(is_live);
    setup_->setConnection(recorder_.isConnecting(), recorder_.isConnecting() && state.phase == Phase::ready);
    if (recorder_.isConnecting()) {
        setup_->setReadings(state.phase == Phase::ready ? readingsText()
                            : state.is_connected        ? tr("Looking at the first lines ...")
                                                        : tr("Waiting for the device ..."));
    }
    if (is_live) {
        sentence_->setText(state.phase == Phase::recording ? text(format::watchSentence(state.watch))
                           : state.phase == Phase::ending  ? tr("Writing the last samples ...")
                                                           : tr("Waiting for the first line ..."));
        QString words = readingsText() + text(fmt::format("{}, {} samples, {} in the book", clockText(state.now_s),
                                                          state.scans, state.in_book));
        if (state.refused > 0) {
            words += tr(", %1 lines not understood").arg(state.refused);
        }
        if (!state.is_connected && state.phase == Phase::recording) {
            words += tr(". The device is away: the run goes on when it is back.");
        }
        readings_->setText(words);
        bar_->setState(state.watch);
        chart_->setState(state.watch);
        chart_->setEvents(state.events);
        stop_->setEnabled(state.phase != Phase::ending);
    }
    showWarning();
}

void RecordPage::showWarning() {
    const WatchState& state = recorder_.state().watch;
    const Alarm* const standing = recorder_.isRecording() ? gravestWarning(state) : nullptr;
    const bool is_unseen = recorder_.isRecording() && !recorder_.isAcknowledged();
    if (standing != nullptr) {
        const format::AlarmText words = format::alarmText(*standing, state);
        band_words_->setText(text(words.what + " " + words.advice));
    } else if (is_unseen) {
        band_words_->setText(tr("Over now: %1").arg(last_warning_));
    }
    band_->setVisible(standing != nullptr || is_unseen);
    sentence_->setVisible(recorder_.isRecording());
    seen_->setVisible(is_unseen);
    if (!is_unseen) {
        sound_.beStill();
    }
}

void RecordPage::log(double time_s, const QString& words) {
    log_->insertItem(0, text(clockText(time_s)) + u"  "_s + words);
    while (log_->count() > most_log_lines) {
        delete log_->takeItem(log_->count() - 1);
    }
    if (recorder_.isConnecting()) {
        setup_->setTrouble(words); // what is said of the device before anything is recorded
    }
}

} // namespace potwatch::window
