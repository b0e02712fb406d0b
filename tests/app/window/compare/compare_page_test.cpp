// SPDX-License-Identifier: GPL-3.0-or-later
// The page Compare as a person uses it, on the demo's book: by mouse and by key, through the real window.
#include "app/window/compare/compare_chart.h"
#include "app/window/compare/compare_desk.h"
#include "app/window/compare/compare_page.h"
#include "tests/app/window/print_into.h"
#include "tests/app/window/window_fixture.h"

#include <QAbstractButton>
#include <QClipboard>
#include <QComboBox>
#include <QFile>
#include <QFileDialog>
#include <QHeaderView>
#include <QImage>
#include <QLabel>
#include <QLineEdit>
#include <QPrinter>
#include <QTableView>
#include <QTextBrowser>
#include <QTimer>
#include <QToolButton>

#include <condition_variable>
#include <mutex>

namespace potwatch::window {
namespace {

using namespace Qt::StringLiterals;
using testing::HasSubstr;

// The demo's book, made once and copied: making and analysing it takes longer than all else.
const QTemporaryDir& demoFolder() {
    static const QTemporaryDir folder;
    static const bool made = [] {
        std::mutex mutex;
        std::condition_variable changed;
        bool imported = false;
        bool fresh = false;
        session::Library library([&](const session::News& news) {
            const std::lock_guard lock(mutex);
            imported = imported || std::holds_alternative<session::ImportEnded>(news);
            const auto* const left = std::get_if<session::Refreshing>(&news);
            fresh = imported && left != nullptr && left->runs_left == 0;
            changed.notify_all();
        });
        library.importDemo(folder.filePath(u"demo.potbook"_s).toStdString());
        std::unique_lock lock(mutex);
        return changed.wait_for(lock, std::chrono::minutes(3), [&] { return fresh; });
    }();
    EXPECT_TRUE(made);
    return folder;
}

class CompareInWindow : public Window {
protected:
    void openDemo() {
        ASSERT_TRUE(QFile::copy(demoFolder().filePath(u"demo.potbook"_s), path("rods.potbook")));
        book().open(path("rods.potbook"), book::Access::write);
        ASSERT_TRUE(waitFor([&] { return book().runs().size() == 8; }));
        ASSERT_NO_FATAL_FAILURE(goThere());
        ASSERT_TRUE(waitFor([&] { return isCompared(7); }));
        QApplication::sendPostedEvents(); // the page is laid out about its new words
        QApplication::processEvents();
    }
    void goThere() {
        QTest::mouseClick(named<QAbstractButton>("railCompare"), Qt::LeftButton);
        page = named<ComparePage>("comparePage");
        ASSERT_NE(page, nullptr);
        ASSERT_TRUE(page->isVisible());
    }
    [[nodiscard]] bool isCompared(std::size_t runs) const {
        const auto& compared = page->desk().compared();
        return compared && !compared->fault && compared->ids.size() == runs && page->desk().left() == 0;
    }
    [[nodiscard]] const session::Comparison& comparison() const { return page->desk().compared()->comparison; }
    [[nodiscard]] book::RunId idOf(const char* name) const {
        for (const session::ListedRun& run : book().runs()) {
            if (run.row.name == name) {
                return run.row.id;
            }
        }
        ADD_FAILURE() << name;
        return {};
    }
    [[nodiscard]] std::string litName() const {
        const session::ListedRun* const run = book().run(page->desk().lit());
        return run == nullptr ? std::string() : run->row.name;
    }
    [[nodiscard]] QTableView* table() const { return named<QTableView>("compareTable"); }
    [[nodiscard]] CompareChart* chart() const { return window->findChild<CompareChart*>(); }
    [[nodiscard]] QStringList column(int at) const {
        QStringList cells;
        for (int row = 0; row < table()->model()->rowCount(); ++row) {
            cells += table()->model()->index(row, at).data().toString();
        }
        return cells;
    }
    [[nodiscard]] int columnOf(const char* title) const {
        for (int at = 0; at < table()->model()->columnCount(); ++at) {
            if (table()->model()->headerData(at, Qt::Horizontal).toString().startsWith(QString::fromUtf8(title))) {
                return at;
            }
        }
        ADD_FAILURE() << title;
        return 0;
    }
    // With the keys alone: the list opens at the letter, Enter takes it.
    void choose(const char* box, const char* words) {
        auto* const combo = named<QComboBox>(box);
        combo->setFocus();
        const int wanted = combo->findText(QString::fromUtf8(words));
        ASSERT_GE(wanted, 0) << words;
        const bool down = wanted > combo->currentIndex();
        for (int steps = std::abs(wanted - combo->currentIndex()); steps > 0; --steps) {
            QTest::keyClick(combo, down ? Qt::Key_Down : Qt::Key_Up);
        }
        ASSERT_EQ(combo->currentText(), QString::fromUtf8(words));
    }
    void setLimit(const char* text) {
        auto* const limit = named<QLineEdit>("compareLimit");
        limit->setFocus();
        limit->selectAll();
        QTest::keyClick(limit, Qt::Key_Delete);
        QTest::keyClicks(limit, QString::fromUtf8(text));
        QTest::keyClick(limit, Qt::Key_Return);
    }
    // Takes that name in the file dialog that the action opens.
    void saveBy(const char* action, const QString& file) {
        QTimer::singleShot(100, window.get(), [file] {
            auto* const dialog = qobject_cast<QFileDialog*>(QApplication::activeModalWidget());
            ASSERT_NE(dialog, nullptr);
            dialog->findChild<QLineEdit*>(u"fileNameEdit"_s)->setText(file);
            QMetaObject::invokeMethod(dialog, "accept");
        });
        trigger(action);
        ASSERT_TRUE(waitFor([&] { return QFile::exists(file); }));
    }
    [[nodiscard]] static std::string contentOf(const QString& path) {
        QFile file(path);
        return file.open(QIODevice::ReadOnly) ? file.readAll().toStdString() : std::string();
    }

    ComparePage* page = nullptr;
};

TEST_F(CompareInWindow, showsTheRunsTheTrendAndTheNextRate) {
    ASSERT_NO_FATAL_FAILURE(openDemo());
    EXPECT_EQ(column(0).size(), 7) << "the blank is no cure";
    ASSERT_TRUE(comparison().trend);
    EXPECT_EQ(comparison().trend->censored, 3U) << "rods 05, 06 and 07 boiled";
    EXPECT_THAT(named<QLabel>("compareHeadline")->text().toStdString(), HasSubstr("g/min"));
    const std::string words = named<QTextBrowser>("compareWords")->toPlainText().toStdString();
    EXPECT_THAT(words, HasSubstr("95 °C"));
    EXPECT_THAT(words, HasSubstr("AICc"));
    const report::CompareMap& map = chart()->map();
    for (std::size_t r = 0; r < 7; ++r) {
        EXPECT_TRUE(map.points[r] && !map.curves[r].empty()) << r;
    }
}

TEST_F(CompareInWindow, laysTheTracesOverEachOtherAtTheMomentChosen) {
    ASSERT_NO_FATAL_FAILURE(openDemo());
    const auto peaks = [&] { // where each trace is highest
        std::vector<double> x;
        for (const auto& curve : chart()->map().curves) {
            report::Point highest{.x = 0.0, .y = 1e9};
            for (const report::Polyline& part : curve) {
                for (const report::Point& point : part) {
                    highest = point.y < highest.y ? point : highest;
                }
            }
            x.push_back(highest.x);
        }
        return x;
    };
    const auto width = [](const std::vector<double>& x) {
        return *std::max_element(x.begin(), x.end()) - *std::min_element(x.begin(), x.end());
    };
    const double by_dose = width(peaks());
    choose("compareAlign", "peak");
    ASSERT_TRUE(waitFor([&] { return comparison().request.align == compare::Align::peak; }));
    EXPECT_LT(width(peaks()), 0.1 * by_dose) << "the peaks stand above each other";
}

TEST_F(CompareInWindow, lightsARunUpInAllThreeByMouse) {
    ASSERT_NO_FATAL_FAILURE(openDemo());
    const QImage before = chart()->grab().toImage();
    const std::optional<std::size_t> rod = page->desk().compared()->indexOf(idOf("rod 05"));
    ASSERT_TRUE(rod);
    const report::Point at = *chart()->map().points[*rod];
    QTest::mouseMove(chart(), QPointF(at.x, at.y).toPoint());
    ASSERT_TRUE(waitFor([&] { return litName() == "rod 05"; }));
    EXPECT_NE(chart()->grab().toImage(), before);
    EXPECT_EQ(table()->currentIndex().siblingAtColumn(0).data().toString(), u"rod 05"_s);
    EXPECT_EQ(named<QLabel>("litTitle")->text(), u"rod 05"_s);
    EXPECT_THAT(named<QLabel>("litWords")->text().toStdString(), HasSubstr("voids: 4.4 %"));
    // The page may have been laid out once more since, its words being new: the point is where it is drawn now.
    const report::Point there = *chart()->map().points[*rod];
    EXPECT_THAT(chart()->tipAt({there.x, there.y}).toStdString(), HasSubstr("boiled"));
    // A trace lights its run up as well.
    const std::optional<std::size_t> slow = page->desk().compared()->indexOf(idOf("rod 01"));
    const report::Polyline& trace = chart()->map().curves[*slow].front();
    const report::Point half = trace[trace.size() / 2];
    EXPECT_FALSE(chart()->tipAt({half.x, half.y}).isEmpty());
}

TEST_F(CompareInWindow, lightsRunsUpByKeyInTheTableThePictureAndTheBook) {
    ASSERT_NO_FATAL_FAILURE(openDemo());
    table()->setFocus();
    page->setLit(idOf("rod 02"));
    EXPECT_EQ(table()->currentIndex().siblingAtColumn(0).data().toString(), u"rod 02"_s);
    QTest::keyClick(table(), Qt::Key_Down);
    EXPECT_EQ(litName(), "rod 03");
    chart()->setFocus();
    QTest::keyClick(chart(), Qt::Key_Right);
    EXPECT_EQ(litName(), "rod 04");
    QTest::keyClick(chart(), Qt::Key_Escape);
    EXPECT_EQ(litName(), "");
    named<QListView>("bookList")->setFocus();
    page->setLit({});
    book().show(idOf("rod 06"));
    EXPECT_EQ(litName(), "rod 06");
    QTest::keyClick(table(), Qt::Key_Return);
    EXPECT_TRUE(waitFor([&] { return !page->isVisible(); })) << "Enter opens the run on Analyse";
    EXPECT_EQ(book().shownId(), idOf("rod 06"));
}

TEST_F(CompareInWindow, drawsWhatIsChosenAgainstWhat) {
    ASSERT_NO_FATAL_FAILURE(openDemo());
    choose("compareX", "peak temperature");
    choose("compareY", "density");
    ASSERT_TRUE(waitFor([&] { return comparison().y->key == "density_g_per_ml"; }));
    EXPECT_FALSE(comparison().request.limit) << "a limit of the temperature is none of a density";
    EXPECT_EQ(comparison().x->key, "peak_temperature_c");
    choose("compareX", "dosing rate");
    choose("compareY", "peak temperature");
    ASSERT_TRUE(waitFor([&] { return comparison().y->key == "peak_temperature_c"; }));
    setLimit("90");
    ASSERT_TRUE(waitFor([&] { return comparison().request.limit == 90.0 && comparison().at_limit; }));
    const double at_90 = comparison().at_limit->x;
    setLimit("97,5");
    ASSERT_TRUE(waitFor([&] { return comparison().request.limit == 97.5 && comparison().at_limit; }));
    EXPECT_GT(comparison().at_limit->x, at_90) << "a higher limit allows a faster dose";
    setLimit("hot");
    EXPECT_EQ(named<QLineEdit>("compareLimit")->text(), u"97.5"_s) << "what is no number is taken back";
    choose("compareForm", "straight");
    ASSERT_TRUE(
        waitFor([&] { return comparison().trend && comparison().trend->form == compare::TrendForm::straight; }));
    EXPECT_FALSE(comparison().trend->by_aicc);
}

TEST_F(CompareInWindow, sortsAndNarrowsTheTable) {
    ASSERT_NO_FATAL_FAILURE(openDemo());
    const int peak = columnOf("peak");
    QHeaderView* const header = table()->horizontalHeader();
    table()->scrollTo(table()->model()->index(0, peak));
    const int x = header->sectionViewportPosition(peak) + header->sectionSize(peak) / 2;
    QTest::mouseClick(header->viewport(), Qt::LeftButton, {}, QPoint(x, header->height() / 2));
    const QString first = column(0).front();
    QTest::mouseClick(header->viewport(), Qt::LeftButton, {}, QPoint(x, header->height() / 2));
    EXPECT_NE(column(0).front(), first) << "the other way round";
    EXPECT_TRUE(column(0).front() == u"rod 01"_s || first == u"rod 01"_s) << "the coolest stands at one end";
    auto* const filter = named<QLineEdit>("compareFilter");
    filter->setFocus();
    QTest::keyClicks(filter, u"through"_s);
    EXPECT_EQ(table()->model()->rowCount(), 2);
    EXPECT_TRUE(isCompared(7)) << "the picture keeps all";
    filter->clear();
    EXPECT_EQ(table()->model()->rowCount(), 7);
}

TEST_F(CompareInWindow, keepsTheFiguresInSightBesideALongName) {
    ASSERT_NO_FATAL_FAILURE(openDemo());
    const int before = table()->columnWidth(0);
    const book::RunId id = idOf("rod 04");
    book::Notes notes = book().run(id)->row.notes;
    notes.batch.name = "rod 04 as it was cast on the second day with the new hardener and the old mould";
    book().editNotes(id, notes, QStringLiteral("name"));
    ASSERT_TRUE(waitFor([&] { return column(0).join(u' ').contains(QStringLiteral("the old mould")); }));
    EXPECT_GT(table()->columnWidth(0), before);
    EXPECT_LT(table()->columnWidth(0) + table()->columnWidth(1), table()->viewport()->width());
    const int row = static_cast<int>(column(0).indexOf(QString::fromStdString(notes.batch.name)));
    EXPECT_EQ(table()->model()->index(row, 0).data(Qt::ToolTipRole).toString().toStdString(), notes.batch.name);
}

TEST_F(CompareInWindow, comparesOnlyWhatIsTickedAndRemembersIt) {
    ASSERT_NO_FATAL_FAILURE(openDemo());
    page->setLit(idOf("rod 07"));
    table()->setFocus();
    QTest::keyClick(table(), Qt::Key_Space);
    ASSERT_TRUE(waitFor([&] { return isCompared(6); }));
    EXPECT_FALSE(page->desk().compared()->indexOf(idOf("rod 07")));
    EXPECT_EQ(table()->model()->rowCount(), 7) << "it stays in the table, to be ticked again";
    named<QAbstractButton>("compareNone")->click();
    EXPECT_THAT(named<QLabel>("compareHeadline")->text().toStdString(), HasSubstr("Tick the runs"));
    named<QAbstractButton>("compareAll")->click();
    ASSERT_TRUE(waitFor([&] { return isCompared(7); }));
    QTest::keyClick(table(), Qt::Key_Space);
    setLimit("92");
    ASSERT_TRUE(close());
    open();
    ASSERT_TRUE(waitFor([&] { return book().runs().size() == 8; }));
    goThere();
    ASSERT_TRUE(waitFor([&] { return isCompared(6); }));
    EXPECT_EQ(comparison().request.limit, 92.0);
}

TEST_F(CompareInWindow, comparesTheRunsThatTheBookLists) {
    ASSERT_NO_FATAL_FAILURE(openDemo());
    book().setTag({idOf("rod 01"), idOf("rod 03"), idOf("rod 04")}, u"keep"_s, true);
    auto* const search = named<QLineEdit>("bookSearch");
    search->setText(u"keep"_s);
    ASSERT_TRUE(waitFor([&] { return isCompared(3); }));
    search->setText(u"nothing like it"_s);
    ASSERT_TRUE(waitFor([&] { return named<QLabel>("compareEmpty")->isVisible(); }));
    EXPECT_THAT(named<QLabel>("compareEmpty")->text().toStdString(), HasSubstr("No run meets the search"));
    search->clear();
    ASSERT_TRUE(waitFor([&] { return isCompared(7); }));
}

TEST_F(CompareInWindow, handsOnTableAndPicture) {
    ASSERT_NO_FATAL_FAILURE(openDemo());
    page->setLit(idOf("rod 07"));
    table()->setFocus();
    QTest::keyClick(table(), Qt::Key_Space);
    ASSERT_TRUE(waitFor([&] { return isCompared(6); }));
    saveBy("compareCsv", path("table.csv"));
    ASSERT_TRUE(waitFor([&] { return !contentOf(path("table.csv")).empty(); }));
    const std::string csv = contentOf(path("table.csv"));
    EXPECT_THAT(csv, HasSubstr("peak_temperature_c"));
    EXPECT_THAT(csv, HasSubstr("rod 06"));
    EXPECT_THAT(csv, testing::Not(HasSubstr("rod 07")));
    saveBy("comparePicture", path("picture.svg"));
    const std::string svg = contentOf(path("picture.svg"));
    EXPECT_THAT(svg, HasSubstr("Peak temperature against dosing rate"));
    EXPECT_THAT(svg, testing::Not(HasSubstr("<image"))) << "vectors";
    QTest::keyClick(table(), Qt::Key_C, Qt::ControlModifier);
    const QString copied = QApplication::clipboard()->text();
    EXPECT_EQ(copied.count(u'\n'), 8);
    EXPECT_THAT(copied.toStdString(), HasSubstr("dosing rate [g/min]\t"));
}

TEST_F(CompareInWindow, printsWhatIsShown) {
    ASSERT_NO_FATAL_FAILURE(openDemo());
    for (const bool lineage : {false, true}) {
        page->showLineage(lineage);
        QPrinter printer(QPrinter::HighResolution);
        printer.setOutputFormat(QPrinter::PdfFormat);
        printer.setFullPage(true);
        printer.setOutputFileName(path(lineage ? "lineage.pdf" : "compare.pdf"));
        const std::optional<Sheet> sheet = page->sheet();
        ASSERT_TRUE(sheet);
        EXPECT_TRUE(printSheet(*sheet, printer));
    }
    EXPECT_THAT(contentOf(path("compare.pdf")), testing::StartsWith("%PDF"));
    EXPECT_THAT(contentOf(path("compare.pdf")), testing::Not(HasSubstr("/Subtype /Image"))) << "vectors";
    EXPECT_GT(contentOf(path("compare.pdf")).size(), 30'000U);
    EXPECT_GT(contentOf(path("lineage.pdf")).size(), 5'000U);
}

TEST_F(CompareInWindow, printsByTheKeyOfEveryPage) {
    goThere();
    int print_jobs = 0;
    printInto(*window, path("by-key.pdf"), print_jobs);
    window->activateWindow(); // shortcuts belong to the active window
    ASSERT_TRUE(QTest::qWaitForWindowActive(window.get()));
    QTest::keyClick(window.get(), Qt::Key_P, Qt::ControlModifier);
    EXPECT_EQ(print_jobs, 0) << "there is nothing to print yet";
    ASSERT_NO_FATAL_FAILURE(openDemo());
    QTest::keyClick(window.get(), Qt::Key_P, Qt::ControlModifier);
    EXPECT_EQ(print_jobs, 1);
    EXPECT_THAT(contentOf(path("by-key.pdf")), testing::StartsWith("%PDF"));
    trigger("comparePrint");
    EXPECT_EQ(print_jobs, 2) << "from the page's own menu as well";
}

TEST_F(CompareInWindow, showsWhatChangedAndWhatCameOfIt) {
    ASSERT_NO_FATAL_FAILURE(openDemo());
    named<QAbstractButton>("lineageShown")->click();
    auto* const lineage = named<QTableView>("lineage");
    ASSERT_TRUE(lineage->isVisible());
    ASSERT_EQ(lineage->model()->rowCount(), 7);
    const auto cell = [&](int row, int at) { return lineage->model()->index(row, at).data().toString().toStdString(); };
    EXPECT_EQ(cell(1, 1), "0.08 to 0.12 g/min");
    EXPECT_THAT(cell(1, 2), testing::MatchesRegex(R"(\+[0-9.]+ ± [0-9.]+ K)"));
    const auto note = [&](int row, int at) {
        return lineage->model()->index(row, at).data(Qt::ToolTipRole).toString().toStdString();
    };
    EXPECT_THAT(note(4, 2), HasSubstr("boiled now"));
    EXPECT_THAT(note(4, 2), HasSubstr("at least"));
    EXPECT_THAT(note(4, 5), HasSubstr("foam at the edge"));
    // What does not fit in a line goes on in the next, and the row grows with it.
    window->resize(1280, 800);
    ASSERT_TRUE(waitFor([&] { return lineage->rowHeight(5) > lineage->rowHeight(0); }));
    EXPECT_THAT(note(5, 5), HasSubstr("before: foam at the edge"));
    const QFontMetrics metrics(lineage->font());
    const int width = lineage->columnWidth(5) - metrics.height();
    const QStringList lines = lineage->model()->index(5, 5).data(Qt::ToolTipRole).toString().split(u'\n');
    int needed = 0;
    for (const QString& line : lines) {
        needed += metrics.boundingRect(0, 0, width, 0, Qt::TextWordWrap, line).height();
    }
    EXPECT_GE(needed, 3 * metrics.height()) << "the note takes two lines";
    EXPECT_GE(lineage->rowHeight(5), needed);
    lineage->setFocus();
    lineage->selectRow(1);
    EXPECT_EQ(litName(), "rod 02");
    QTest::keyClick(lineage, Qt::Key_Down);
    EXPECT_EQ(litName(), "rod 03");
    QTest::keyClick(lineage, Qt::Key_Return);
    EXPECT_TRUE(waitFor([&] { return !page->isVisible() && book().shownId() == idOf("rod 03"); }));
}

TEST_F(CompareInWindow, showsThePhotosOfTheRunThatIsLitUp) {
    ASSERT_NO_FATAL_FAILURE(openDemo());
    QImage piece(300, 200, QImage::Format_RGB32);
    piece.fill(Qt::darkYellow);
    ASSERT_TRUE(piece.save(path("piece.png")));
    QTest::mouseClick(named<QAbstractButton>("railAnalyse"), Qt::LeftButton);
    book().show(idOf("rod 07"));
    ASSERT_TRUE(waitFor([&] { return analysed(); }));
    book().addPhoto(idOf("rod 07"), path("piece.png"));
    ASSERT_TRUE(waitFor([&] { return book().view() && !book().view()->photos.empty(); }));
    goThere();
    page->setLit(idOf("rod 07"));
    const auto photo = [&] { return page->findChild<QToolButton*>(u"litPhoto"_s); };
    ASSERT_TRUE(waitFor([&] { return photo() != nullptr && !photo()->icon().isNull(); }));
    page->setLit(idOf("rod 01"));
    EXPECT_TRUE(waitFor([&] { return photo() == nullptr; }));
}

TEST_F(CompareInWindow, saysWhatToDoFirst) {
    goThere();
    EXPECT_THAT(named<QLabel>("compareEmpty")->text().toStdString(), HasSubstr("nothing to compare yet"));
    import({csv("rod-01.csv")});
    ASSERT_TRUE(waitFor([&] { return isCompared(1); }));
    EXPECT_FALSE(comparison().trend);
    EXPECT_FALSE(named<QLabel>("compareHeadline")->text().isEmpty());
    EXPECT_THAT(named<QLabel>("compareHeadline")->text().toStdString(),
                testing::AllOf(HasSubstr("dosing rate"), HasSubstr("Pot tab")))
        << "why there is no trend, and what to do";
    named<QAbstractButton>("lineageShown")->click();
    EXPECT_THAT(named<QLabel>("compareEmpty")->text().toStdString(), HasSubstr("what it is based on"));
}

} // namespace
} // namespace potwatch::window
