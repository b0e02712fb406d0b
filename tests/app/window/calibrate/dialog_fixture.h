// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/report/drawing.h"
#include "app/session/book_runs.h"
#include "app/window/calibrate/dialog_parts.h"

#include <QApplication>
#include <QComboBox>
#include <QDialog>
#include <QElapsedTimer>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <QTemporaryDir>
#include <QTest>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>
#include <functional>
#include <string>
#include <vector>

namespace potwatch::window {

// A dialog that works on the runs of a book, with that book and its settings in a folder of its own.
class DialogOfRuns : public testing::Test {
protected:
    void SetUp() override {
        ASSERT_TRUE(report::prepareDrawing());
        ASSERT_TRUE(folder.isValid());
    }

    [[nodiscard]] std::string path(const std::string& name) const {
        return folder.filePath(QString::fromStdString(name)).toStdString();
    }
    // A run of one reading a second, of the channel pot_c.
    void addRun(const std::string& name, int seconds, const std::function<double(int)>& reading_c,
                const std::string& batch = {}) {
        std::ofstream table(path(name + ".csv"));
        table << "time_s,pot_c\n";
        for (int t = 0; t <= seconds; ++t) {
            table << t << ',' << reading_c(t) << '\n';
        }
        table.close();
        if (!batch.empty()) {
            std::ofstream(path(name + ".batch.toml")) << batch;
        }
        Result<book::Opened> opened = session::openOrMakeBook(path("b.potbook"));
        ASSERT_TRUE(opened);
        const std::vector<session::FileToOpen> files{{.file = path(name + ".csv"), .options = {}}};
        ASSERT_TRUE(session::importFiles(opened->book, files).front().result);
    }
    [[nodiscard]] ChosenBook chosen(const std::string& shown = {}) const {
        ChosenBook chosen{.path = QString::fromStdString(path("b.potbook")), .runs = {}, .shown = {}};
        Result<book::Opened> opened = book::Book::open(path("b.potbook"), book::Access::read);
        Result<std::vector<book::RunRow>> rows = opened ? opened->book.list() : tl::unexpected(opened.error());
        if (rows) {
            for (book::RunRow& row : *rows) {
                chosen.shown = row.name == shown ? row.id : chosen.shown;
                chosen.runs.push_back(session::listedRun(std::move(row)));
            }
        }
        return chosen;
    }
    [[nodiscard]] std::string contentOf(const std::string& name) const {
        std::ifstream stream(path(name), std::ios::binary);
        return {std::istreambuf_iterator<char>(stream), {}};
    }

    // Lets the dialog work until that holds; false after a minute, which only a test that fails waits for.
    static bool waitFor(const std::function<bool()>& holds) {
        constexpr int longest_ms = 60'000;
        QElapsedTimer timer;
        timer.start();
        while (!holds() && timer.elapsed() < longest_ms) {
            QTest::qWait(10);
        }
        return holds();
    }
    template<class Kind>
    [[nodiscard]] static Kind* named(const QDialog& dialog, const char* name) {
        Kind* const found = dialog.findChild<Kind*>(QString::fromUtf8(name));
        EXPECT_NE(found, nullptr) << name;
        return found;
    }
    [[nodiscard]] static std::string words(const QDialog& dialog, const char* label) {
        return named<QLabel>(dialog, label)->text().toStdString();
    }
    static void click(const QDialog& dialog, const char* button) {
        auto* const found = named<QAbstractButton>(dialog, button);
        ASSERT_TRUE(found->isVisible() && found->isEnabled()) << button;
        QTest::mouseClick(found, Qt::LeftButton);
    }
    static void type(const QDialog& dialog, const char* field, const QString& text) {
        auto* const found = named<QLineEdit>(dialog, field);
        ASSERT_TRUE(found->isVisible()) << field;
        ASSERT_TRUE(QTest::qWaitForWindowActive(found->window())); // else it is never left
        found->setFocus();
        found->selectAll();
        QTest::keyClicks(found, text);
        QTest::keyClick(found, Qt::Key_Tab);
    }

    QTemporaryDir folder;
};

} // namespace potwatch::window
