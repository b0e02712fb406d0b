// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/gui/record_pictures.h"

#include "app/session/pretend.h"
#include "app/window/record/record_page.h"
#include "tests/app/session/scripted_source.h"

#include <QAbstractButton>
#include <QApplication>
#include <QFrame>
#include <QLabel>
#include <QPushButton>
#include <QTest>

using namespace Qt::StringLiterals;
using namespace potwatch;

namespace {

// A cure whose first minutes lie in the past already, so that nobody waits for them.
class PastCure {
public:
    explicit PastCure(session::PretendDevice device)
        : device_(std::move(device)) {}

    [[nodiscard]] std::unique_ptr<serial::ByteSource> source() { return script_.source(); }
    void connect() { script_.connect(); }
    void begin(std::chrono::seconds ago) {
        zero_ = serial::now() - ago;
        sent_ = 0;
    }
    [[nodiscard]] int sent() const { return sent_; } // since it began
    void playTo(double time_s) {
        while (played_s_ < time_s) {
            const session::PretendDevice::Step step = device_.next();
            const std::size_t comma = step.line.find(',');
            script_.send("core_c=" + step.line.substr(0, comma) + " air_c=" + step.line.substr(comma + 1) + "\n",
                         zero_ + std::chrono::milliseconds(static_cast<long>(1000.0 * played_s_)));
            played_s_ = step.at_s;
            ++sent_;
        }
    }

private:
    session::Script script_;
    session::PretendDevice device_;
    serial::Moment zero_ = serial::now();
    double played_s_ = 0.0;
    int sent_ = 0;
};

} // namespace

bool makeRecordPictures(window::MainWindow& window, const std::function<bool(const QString& name)>& grab,
                        const std::function<bool(const std::function<bool()>& holds)>& waitUntil) {
    constexpr double rising_s = 852.0;
    constexpr double warned_s = 880.0;
    constexpr double settled_s = 1400.0;
    window.findChild<QAbstractButton*>(u"railRecord"_s)->click();
    auto* const page = window.findChild<window::RecordPage*>(u"recordPage"_s);
    bool made = grab(u"record-before"_s);
    PastCure cure(session::PretendDevice::make({.rate_hz = 1.0, .channels = 2}).value());
    page->connectTo(cure.source(), {});
    cure.connect();
    cure.playTo(30.0);
    auto* const start = window.findChild<QPushButton*>(u"recordStart"_s);
    made &= waitUntil([&] { return start->isEnabled(); });
    auto* const setup = window.findChild<QWidget*>(u"recordSetup"_s);
    setup->findChild<QPushButton*>(u"same as last run"_s)->click();
    made &= waitUntil(
        [&] { return window.findChild<QLabel*>(u"recordSetupReadings"_s)->text().contains(u"Probes at rest"_s); });
    made &= grab(u"record-ready"_s);
    start->click();
    cure.begin(std::chrono::seconds(static_cast<int>(rising_s)));
    cure.playTo(rising_s);
    const auto shows = [&](const QString& words) {
        return waitUntil([&] { return window.findChild<QLabel*>(u"recordSentence"_s)->text().contains(words); });
    };
    // All of it has come.
    const auto played = [&] {
        return window.findChild<QLabel*>(u"recordReadings"_s)->text().contains(u", %1 samples"_s.arg(cure.sent()));
    };
    made &= shows(u"rising"_s);
    made &= waitUntil(played);
    QTest::keyClick(QApplication::focusWidget(), Qt::Key_S);
    QTest::keyClick(QApplication::focusWidget(), Qt::Key_A);
    made &= grab(u"record"_s);
    QTest::keyClick(QApplication::focusWidget(), Qt::Key_B);
    made &= grab(u"record-form"_s);
    QTest::keyClick(QApplication::focusWidget(), Qt::Key_B);
    cure.playTo(warned_s);
    made &= waitUntil(played);
    made &= waitUntil([&] { return window.findChild<QFrame*>(u"warningBand"_s)->isVisible(); });
    made &= grab(u"record-warning"_s);
    QTest::keyClick(QApplication::focusWidget(), Qt::Key_A);
    cure.playTo(settled_s);
    made &= waitUntil(played);
    QTest::keyClick(QApplication::focusWidget(), Qt::Key_A);
    made &= shows(u"falling"_s);
    made &= grab(u"record-falling"_s);
    page->stop();
    made &= waitUntil([&] { return !page->isRecording() && window.book().view() && window.book().view()->analysis; });
    return grab(u"record-after"_s) && made;
}
