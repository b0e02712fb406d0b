// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/window/record/record_page.h"
#include "tests/app/window/window_fixture.h"

#include <QAbstractButton>
#include <QLabel>
#include <QLineEdit>
#include <QListWidget>
#include <QPushButton>

#include <string>
#include <vector>

namespace potwatch::window {

// The window on its Record page.
class RecordInWindow : public Window {
protected:
    void SetUp() override {
        Window::SetUp();
        goToPage();
    }
    void goToPage() {
        named<QAbstractButton>("railRecord")->click();
        page = named<RecordPage>("recordPage");
        ASSERT_NE(page, nullptr);
    }
    [[nodiscard]] QString words(const char* label) const { return named<QLabel>(label)->text(); }
    [[nodiscard]] QStringList log() const {
        QStringList lines;
        for (int i = 0; i < named<QListWidget>("recordLog")->count(); ++i) {
            lines += named<QListWidget>("recordLog")->item(i)->text();
        }
        return lines;
    }
    [[nodiscard]] bool isLogged(const char* part) const { return !log().filter(QString::fromUtf8(part)).isEmpty(); }
    void press(Qt::Key key) const { QTest::keyClick(window.get(), key); }
    void click(const char* button) const {
        auto* const widget = named<QAbstractButton>(button);
        ASSERT_TRUE(widget->isVisible() && widget->isEnabled()) << button;
        QTest::mouseClick(widget, Qt::LeftButton);
    }
    [[nodiscard]] bool isRising() const { return words("recordSentence").contains(QStringLiteral("°C")); }
    [[nodiscard]] bool isReady() const { return named<QPushButton>("recordStart")->isEnabled(); }

    // A table to be played, `seconds` long.
    [[nodiscard]] std::string table(const char* name, double start_c, double rise_k_per_s, int seconds = 600) const {
        std::ofstream stream(path(name).toStdString());
        stream << "time_s,pot_c,air_c\n";
        for (int i = 0; i < seconds; ++i) {
            stream << i << ',' << start_c + rise_k_per_s * i + 0.05 * (i % 3) << ',' << 21.0 + 0.05 * (i % 2) << '\n';
        }
        return path(name).toStdString();
    }
    // The run that was recorded, as soon as its findings are shown.
    [[nodiscard]] const session::ListedRun* recorded() const {
        EXPECT_TRUE(waitFor([&] { return !page->isRecording() && book().view() != nullptr && !book().isBusy(); }));
        return book().run(book().shownId());
    }
    [[nodiscard]] static std::vector<std::string> kindsOf(const session::ListedRun& run) {
        std::vector<std::string> kinds;
        for (const Event& event : run.row.notes.batch.events) {
            kinds.push_back(event.kind);
        }
        return kinds;
    }

    RecordPage* page = nullptr;
};

} // namespace potwatch::window
