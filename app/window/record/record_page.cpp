// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/record/record_page.h"

#include "app/format/watch_text.h"
#include "app/session/live_channels.h"
#include "app/window/notice_bar.h"
#include "app/window/pot_form/pot_form.h"
#include "app/window/record/bench_setup.h"
#include "app/window/record/big_words.h"
#include "app/window/record/heat_bar.h"
#include "app/window/record/live_chart.h"
#include "app/window/record/log_column.h"
#include "app/window/record/record_setup.h"
#include "app/window/record/warning_band.h"

#include <QHBoxLayout>
#include <QLabel>
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

constexpr int log_lines_wide = 18;
constexpr int form_lines_wide = 30;

QString text(const std::string& words) {
    return QString::fromStdString(words);
}

const Alarm* gravestWarning(const WatchState& state) {
    const auto found = std::find_if(state.alarms.begin(), state.alarms.end(),
                                    [](const Alarm& alarm) { return alarm.level == AlarmLevel::warning; });
    return found == state.alarms.end() ? nullptr : &*found;
}

} // namespace

RecordPage::RecordPage(Settings& settings, std::function<QString()> book, QWidget* parent)
    : QWidget(parent)
    , settings_(settings)
    , book_(std::move(book)) {
    setObjectName(u"recordPage"_s);
    build();
    buildKeys();
    listen();
    listenToSetup();
    setup_->restore(settings_);
    showState();
}

RecordPage::~RecordPage() {
    recorder_.disconnect(this); // it ends after the widgets
    delete live_form_;          // before the model that it looks at
}

void RecordPage::build() {
    auto* const column = new QVBoxLayout(this);
    band_ = new WarningBand(this);
    sentence_ = new BigWords(BigWords::Height::twoLines, this);
    sentence_->setObjectName(u"recordSentence"_s);
    readings_ = new QLabel(this);
    readings_->setObjectName(u"recordReadings"_s);
    readings_->setTextFormat(Qt::PlainText);
    readings_->setWordWrap(true);
    stack_ = new QStackedWidget(this);
    setup_ = new RecordSetup(stack_);
    live_ = livePane();
    stack_->addWidget(setup_);
    stack_->addWidget(live_);
    column->addWidget(band_);
    column->addWidget(sentence_);
    column->addWidget(readings_);
    column->addWidget(stack_, 1);
}

QWidget* RecordPage::livePane() {
    auto* const live = new QWidget(stack_);
    live->setFocusPolicy(Qt::StrongFocus); // the letters are keys as long as no field has the cursor
    auto* const row = new QHBoxLayout(live);
    row->setContentsMargins(0, 0, 0, 0);
    bar_ = new HeatBar(live);
    chart_ = new LiveChart(live);
    side_ = new QStackedWidget(live);
    log_ = new LogColumn(side_);
    side_->addWidget(log_);
    side_->addWidget(formPane());
    row->addWidget(bar_);
    row->addWidget(chart_, 1);
    row->addWidget(side_);
    return live;
}

QWidget* RecordPage::formPane() {
    auto* const pane = new QWidget(side_);
    auto* const column = new QVBoxLayout(pane);
    column->setContentsMargins(0, 0, 0, 0);
    auto* const words = new QLabel(tr("What is changed here goes into the book and to the watch at once. While a field "
                                      "has the cursor, letters are text: Esc makes them keys again."),
                                   pane);
    words->setWordWrap(true);
    live_form_ = new PotForm(setup_->form(), pane);
    auto* const back = new QPushButton(tr("Back to the log (B)"), pane);
    back->setObjectName(u"recordShowLog"_s);
    back->setFocusPolicy(Qt::NoFocus);
    connect(back, &QPushButton::clicked, this, [this] { showForm(false); });
    auto* const head = new QHBoxLayout;
    head->addWidget(words, 1);
    head->addWidget(setup_->formUndo().makeButton(pane), 0, Qt::AlignTop);
    column->addLayout(head);
    column->addWidget(live_form_, 1);
    column->addWidget(back);
    return pane;
}

void RecordPage::showForm(bool shown) {
    side_->setCurrentIndex(shown ? 1 : 0);
    side_->setFixedWidth(fontMetrics().height() * (shown ? form_lines_wide : log_lines_wide));
    live_->setFocus();
}

void RecordPage::listen() {
    connect(band_, &WarningBand::seen, &recorder_, &Recorder::acknowledge);
    connect(&recorder_, &Recorder::changed, this, &RecordPage::showState);
    connect(&recorder_, &Recorder::found, setup_, &RecordSetup::setFound);
    connect(&recorder_, &Recorder::came, chart_, &LiveChart::add);
    connect(&recorder_, &Recorder::logged, this, &RecordPage::log);
    connect(&recorder_, &Recorder::began, this, [this](const session::RunBegan& news) {
        chart_->begin(news.channels, session::potOf(news.channels, setup_->form().batch()));
    });
    connect(&recorder_, &Recorder::restated, setup_, &RecordSetup::setBatch);
    connect(&recorder_, &Recorder::warned, this, [this](const QString& what, const QString& advice) {
        last_warning_ = what;
        last_advice_ = advice;
        has_stood_ = false;
        sound_.ringOn();
        showWarning();
        Q_EMIT warned(what, advice);
    });
    connect(&recorder_, &Recorder::ended, this, &RecordPage::hasEnded);
    connect(log_, &LogColumn::stopWanted, this, &RecordPage::stop);
    connect(log_, &LogColumn::formWanted, this, [this] { showForm(true); });
    connect(log_, &LogColumn::noteTyped, this, [this](const QString& words) {
        if (!words.isEmpty()) {
            recorder_.enter(u"note"_s, words);
        }
        live_->setFocus();
    });
}

void RecordPage::listenToSetup() {
    connect(setup_, &RecordSetup::connectWanted, this, &RecordPage::connectToPort);
    connect(setup_, &RecordSetup::letGoWanted, &recorder_, &Recorder::letGo);
    connect(setup_, &RecordSetup::recordWanted, this, [this] { record(); });
    connect(setup_, &RecordSetup::practiceWanted, this, &RecordPage::practise);
    connect(setup_, &RecordSetup::soundWanted, &sound_, &AlarmSound::ring);
    connect(&setup_->bench(), &BenchSetup::tryCommandWanted, this, &RecordPage::tryCommand);
    connect(setup_, &RecordSetup::batchEdited, this, [this](const Batch& batch) {
        recorder_.restate(batch);
        chart_->setPot(session::potOf(recorder_.state().channels, batch));
    });
}

void RecordPage::setPrevious(const std::optional<Batch>& batch, const std::string& name) {
    setup_->setPrevious(batch, name);
}

void RecordPage::setPot(const Batch& batch, const QString& what) {
    setup_->form().replace(batch, what, "batch.blank");
}

void RecordPage::lookForPorts() {
    setup_->lookForPorts();
}

void RecordPage::stop() {
    recorder_.stop();
}

void RecordPage::hasEnded(const session::RecordingEnded& news) {
    sound_.beStill();
    setup_->forgetRun();
    stack_->setCurrentWidget(setup_);
    QString trouble;
    if (news.fault) {
        const Fault fault = news.scans_lost > 0 ? session::lossFault(news) : *news.fault;
        trouble = whatText(fault) + u". "_s + remedyText(fault);
    } else if (news.id.empty()) {
        trouble = tr("Nothing was recorded: no line had come.");
    }
    setup_->setTrouble(trouble);
    Q_EMIT ended(news);
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

// Why the sentence tells another temperature than the probe.
QString RecordPage::lagText() const {
    constexpr double seen_k = 1.0;
    const WatchState& state = recorder_.state().watch;
    const bool apart =
        state.temperature_c && state.reading_c && std::abs(*state.temperature_c - *state.reading_c) >= seen_k;
    return apart ? tr("(smoothed and freed of the probe's lag: %1)    ")
                       .arg(text(fmt::format("{:.1f} °C", *state.temperature_c)))
                 : QString();
}

QString RecordPage::countsText() const {
    const session::RecordingState& state = recorder_.state();
    QString words = LogColumn::clockText(state.now_s) +
                    text(fmt::format(", {} samples, {} in the book", state.scans, state.in_book));
    if (state.refused > 0) {
        words += tr(", %1 lines not understood").arg(state.refused);
    }
    if (!state.is_connected && state.phase == Phase::recording) {
        words += tr(". The device is away: the run goes on when it is back");
    }
    if (state.storage_trouble) {
        words += tr(". The book takes nothing: all is kept in memory");
    }
    if (recorder_.maySleep()) {
        words += tr(". This computer may fall asleep: turn its sleep off");
    }
    return words;
}

void RecordPage::showState() {
    const session::RecordingState& state = recorder_.state();
    const bool is_live = recorder_.isRecording();
    const bool is_ready = recorder_.isConnecting() && state.phase == Phase::ready;
    readings_->setVisible(is_live);
    setup_->setDevice(recorder_.isConnecting(), is_ready);
    setup_->setChannels(state.channels);
    if (recorder_.isConnecting()) {
        setup_->setReadings(is_ready
                                ? readingsText().trimmed() + (state.rest.empty() ? QString() : u'\n' + text(state.rest))
                            : state.is_connected ? tr("Looking at the first lines ...")
                                                 : tr("Waiting for the device ..."));
    }
    if (is_live) {
        sentence_->say(state.phase == Phase::recording ? text(format::watchSentence(state.watch))
                       : state.phase == Phase::ending  ? tr("Writing the last samples ...")
                                                       : tr("Waiting for the first line ..."));
        readings_->setText(readingsText() + lagText() + countsText());
        bar_->setState(state.watch);
        chart_->setState(state.watch);
        chart_->setEvents(state.events);
        log_->setStopping(state.phase == Phase::ending);
    }
    showWarning();
}

// The band stands in the place of the sentence, which goes on in it.
void RecordPage::showWarning() {
    const WatchState& state = recorder_.state().watch;
    const Alarm* const standing = recorder_.isRecording() ? gravestWarning(state) : nullptr;
    const bool is_unseen = recorder_.isRecording() && !recorder_.isAcknowledged();
    if (standing != nullptr) {
        const format::AlarmText words = format::alarmText(*standing, state);
        const bool tells_of_limit =
            standing->kind == AlarmKind::limit_near || standing->kind == AlarmKind::limit_reached;
        band_->say(text(words.what), text(words.advice),
                   tells_of_limit ? text(format::temperatureSentence(state)) : sentence_->text());
        has_stood_ = true;
    } else if (is_unseen && !has_stood_) {
        band_->say(last_warning_, last_advice_, sentence_->text()); // news come before the state that they are of
    } else if (is_unseen) {
        band_->say(tr("Over now: %1").arg(last_warning_), {}, sentence_->text());
    }
    const bool has_band = standing != nullptr || is_unseen;
    band_->setVisible(has_band);
    band_->setSeen(!is_unseen);
    sentence_->setVisible(recorder_.isRecording() && !has_band);
    if (!is_unseen) {
        sound_.beStill();
    }
}

void RecordPage::log(double time_s, const QString& words) {
    log_->add(time_s, words);
    if (recorder_.isConnecting()) {
        setup_->setTrouble(words); // what is said of the device before anything is recorded
    }
}

} // namespace potwatch::window
