// SPDX-License-Identifier: GPL-3.0-or-later
// The Record page's way from a device to a run. Files are read beside the window's thread.
#include "app/session/pretend.h"
#include "app/session/warning_command.h"
#include "app/window/notice_bar.h"
#include "app/window/record/bench_setup.h"
#include "app/window/record/heat_bar.h"
#include "app/window/record/live_chart.h"
#include "app/window/record/log_column.h"
#include "app/window/record/record_page.h"
#include "app/window/record/record_setup.h"
#include "io/kinetics/kinetics_file.h"
#include "io/serial/device_file.h"
#include "io/serial/port/port_source.h"

#include <QStackedWidget>

#include <utility>

namespace potwatch::window {

using namespace Qt::StringLiterals;
using Phase = session::RecordingState::Phase;

void RecordPage::sayTrouble(const std::vector<Fault>& faults) {
    QStringList lines;
    for (const Fault& fault : faults) {
        lines += QString::fromStdString(describe(fault));
    }
    setup_->setTrouble(lines.join(u'\n'));
}

void RecordPage::connectToPort() {
    const std::string port = setup_->port().toStdString();
    const std::string file = setup_->bench().deviceFile().toStdString();
    setup_->save(settings_);
    if (port.empty()) {
        return;
    }
    if (file.empty()) {
        connectTo(serial::portSource(port, {}), {.unit = setup_->bench().unit()});
        return;
    }
    errands_.run([file] { return serial::readDeviceFile(file); },
                 [this, port](const tl::expected<serial::Device, serial::Faults>& device) {
                     if (!device) {
                         sayTrouble(device.error());
                     } else {
                         connectTo(serial::portSource(port, device->port), *device);
                     }
                 });
}

void RecordPage::connectTo(Result<std::unique_ptr<serial::ByteSource>> source, const serial::Device& device) {
    if (isRecording()) {
        return;
    }
    setup_->setFound({});
    if (!source) {
        sayTrouble({source.error()});
        return;
    }
    setup_->setTrouble({});
    log_->clear();
    recorder_.connectTo(std::move(*source), device);
}

void RecordPage::practise(double speed) {
    if (std::exchange(is_preparing_, true)) {
        return;
    }
    setup_->setTrouble(tr("Preparing the pretend pot ..."));
    errands_.run([speed] { return session::pretendSource({.rate_hz = 2.0, .channels = 2, .speed = speed}); },
                 [this](Result<std::unique_ptr<serial::ByteSource>> source) {
                     is_preparing_ = false;
                     if (isRecording()) {
                         return;
                     }
                     const bool is_there = source.has_value();
                     connectTo(std::move(source), {});
                     if (is_there) {
                         record({"practice"});
                     }
                 });
}

void RecordPage::record(const std::vector<std::string>& tags) {
    const bool is_practice = !tags.empty(); // which need not be looked at first
    if (!recorder_.isConnecting() || (!is_practice && recorder_.state().phase != Phase::ready)) {
        return;
    }
    setup_->save(settings_);
    session::RunWanted wanted = setup_->wanted();
    wanted.book = book_().toStdString();
    wanted.tags = tags;
    if (wanted.book.empty()) {
        setup_->setTrouble(tr("There is no book to record into: make one with File, New book."));
        return;
    }
    const std::string file = setup_->bench().kineticsFile().toStdString();
    if (file.empty()) {
        begin(wanted);
        return;
    }
    errands_.run([file] { return kinetics_file::readFile(file); },
                 [this, wanted](tl::expected<Kinetics, kinetics_file::Faults> kinetics) {
                     if (!kinetics) {
                         sayTrouble(kinetics.error());
                         return;
                     }
                     session::RunWanted with_kinetics = wanted;
                     with_kinetics.watch.kinetics = std::move(*kinetics);
                     begin(with_kinetics);
                 });
}

void RecordPage::begin(const session::RunWanted& wanted) {
    if (!recorder_.isConnecting()) {
        return; // it was let go meanwhile
    }
    last_warning_.clear();
    bar_->clear();
    chart_->begin({}, 0);
    recorder_.begin(wanted);
    stack_->setCurrentWidget(live_);
    showForm(false);
    if (!wanted.tags.empty()) {
        log(0.0, tr("Practice with a pretend pot: nothing is measured."));
    }
    Q_EMIT began();
    showState();
}

void RecordPage::tryCommand() {
    setup_->save(settings_);
    const std::vector<std::string> words = setup_->bench().warningCommand();
    if (words.empty()) {
        setup_->bench().sayOfCommand(tr("Nothing is stated that could be run."));
        return;
    }
    errands_.run(
        [words] {
            session::WarningCommand command(words);
            return command.run("This is a test: the pot is at its limit.");
        },
        [this](const std::optional<Fault>& fault) {
            setup_->bench().sayOfCommand(fault ? whatText(*fault) + u". "_s + remedyText(*fault)
                                               : tr("It was started."));
        });
}

} // namespace potwatch::window
