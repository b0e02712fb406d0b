// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/report/drawing.h"
#include "app/window/book/book_model.h"
#include "app/window/library_link.h"
#include "app/window/main_window.h"
#include "app/window/notice_bar.h"
#include "app/window/settings.h"

#include <QAction>
#include <QApplication>
#include <QElapsedTimer>
#include <QListView>
#include <QTemporaryDir>
#include <QTest>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <functional>
#include <memory>
#include <string>

namespace potwatch::window {

// The whole window without a display, with books and settings in a folder of its own.
class Window : public testing::Test {
protected:
    void SetUp() override {
        ASSERT_TRUE(report::prepareDrawing());
        ASSERT_TRUE(folder.isValid());
        open();
    }
    void TearDown() override { window.reset(); }

    // As at the start of the program.
    void open(const QString& book = {}, const QStringList& files = {}) {
        settings = std::make_unique<Settings>(folder.path());
        window = std::make_unique<MainWindow>(
            *settings, MainWindow::Books{.standard = path(standard_book), .demo = path("demo.potbook")});
        window->resize(1200, 760);
        window->show();
        window->start(book, files);
    }
    // Closed as by the person: true once it is closed.
    bool close() {
        window->close();
        const bool closed = waitFor([&] { return !window->isVisible(); });
        window.reset();
        settings.reset();
        return closed;
    }

    static constexpr const char* standard_book = "batches.potbook";

    [[nodiscard]] QString path(const char* name) const { return folder.filePath(QString::fromUtf8(name)); }

    // A short casting.
    [[nodiscard]] QString csv(const char* name, double peak_at_s = 300.0) const {
        std::ofstream stream(path(name).toStdString());
        stream << "time_s,pot_c\n";
        for (int i = 0; i < 600; ++i) {
            stream << i << ',' << 20.0 + 40.0 * std::exp(-std::pow((i - peak_at_s) / 60.0, 2.0)) + 0.05 * (i % 3)
                   << '\n';
        }
        return path(name);
    }

    // Lets the window work until that holds; false after a minute, which only a test that fails waits for.
    static bool waitFor(const std::function<bool()>& holds) {
        constexpr int longest_ms = 60'000;
        QElapsedTimer timer;
        timer.start();
        while (!holds() && timer.elapsed() < longest_ms) {
            QApplication::processEvents(QEventLoop::AllEvents, 20);
            QTest::qWait(5);
        }
        return holds();
    }

    template<class Kind = QWidget>
    [[nodiscard]] Kind* named(const char* name) const {
        Kind* const found = window->findChild<Kind*>(QString::fromUtf8(name));
        EXPECT_NE(found, nullptr) << name;
        return found;
    }
    void trigger(const char* action) const {
        if (auto* const found = named<QAction>(action)) {
            EXPECT_TRUE(found->isEnabled()) << action;
            found->trigger();
        }
    }
    [[nodiscard]] QStringList lines() const {
        const QAbstractItemModel* const model = named<QListView>("bookList")->model();
        QStringList lines;
        for (int row = 0; row < model->rowCount(); ++row) {
            lines += model->index(row, 0).data().toString();
        }
        return lines;
    }
    [[nodiscard]] QStringList notices() const { return named<NoticeBar>("noticeBar")->texts(); }
    [[nodiscard]] OpenBook& book() const { return window->book(); }
    [[nodiscard]] bool analysed() const { return book().view() && book().view()->analysis && !book().isBusy(); }

    // Without the dialog.
    void import(const QStringList& files) {
        if (book().state() == OpenBook::State::none) {
            book().open(path(standard_book), book::Access::create);
        }
        std::vector<session::FileToOpen> wanted;
        for (const QString& file : files) {
            wanted.push_back({.file = file.toStdString(), .options = {}});
        }
        const std::size_t before = book().runs().size();
        bool ended = false; // it can be undone only then, which is after its runs are listed
        const auto once = QObject::connect(&book(), &OpenBook::imported, [&ended] { ended = true; });
        book().import(wanted);
        EXPECT_TRUE(waitFor([&] { return ended && book().runs().size() == before + wanted.size() && analysed(); }));
        QObject::disconnect(once);
    }

    QTemporaryDir folder;
    std::unique_ptr<Settings> settings;
    std::unique_ptr<MainWindow> window;
};

} // namespace potwatch::window
