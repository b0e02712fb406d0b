// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/report/check_list.h"
#include "app/window/report/page_view.h"
#include "app/window/report/report_page.h"
#include "tests/app/window/print_into.h"
#include "tests/app/window/window_fixture.h"

#include <QAbstractButton>
#include <QFile>
#include <QFileDialog>
#include <QImage>
#include <QLabel>
#include <QLineEdit>
#include <QProcess>
#include <QStandardPaths>
#include <QTimer>

namespace potwatch::window {
namespace {

using namespace Qt::StringLiterals;
using testing::HasSubstr;
using testing::Not;

// The Report page as a person uses it, by mouse and keys.
class ReportPageTest : public Window {
protected:
    void goThere() {
        window->activateWindow(); // shortcuts belong to the active window
        ASSERT_TRUE(QTest::qWaitForWindowActive(window.get()));
        QTest::keyClick(window.get(), Qt::Key_4, Qt::ControlModifier);
        // A key presses the button of the rail for a moment first.
        ASSERT_TRUE(waitFor([&] {
            const auto* const page = window->findChild<ReportPage*>(u"reportPage"_s);
            return page != nullptr && page->isVisible();
        }));
    }
    [[nodiscard]] ReportPage* page() const { return named<ReportPage>("reportPage"); }
    [[nodiscard]] CheckList* sections() const { return named<CheckList>("reportSections"); }
    [[nodiscard]] CheckList* runs() const { return named<CheckList>("reportRuns"); }
    [[nodiscard]] PageView* pages() const { return named<PageView>("reportPages"); }
    void click(const char* button) const {
        auto* const found = named<QAbstractButton>(button);
        ASSERT_TRUE(found->isVisible() && found->isEnabled()) << button;
        QTest::mouseClick(found, Qt::LeftButton);
    }
    // A click on the box of a line.
    static void tick(CheckList* list, int row) {
        const QRect line = list->visualItemRect(list->item(row));
        QTest::mouseClick(list->viewport(), Qt::LeftButton, {}, {line.left() + 10, line.center().y()});
    }
    static int rowOf(const CheckList* list, const QString& begin) {
        for (int row = 0; row < list->count(); ++row) {
            if (list->item(row)->text().startsWith(begin)) {
                return row;
            }
        }
        ADD_FAILURE() << begin.toStdString();
        return 0;
    }
    // The report of that many runs stands there.
    bool made(std::size_t count) {
        return waitFor([&] {
            const auto document = page()->document();
            return document && named<QAbstractButton>("reportPrint")->isEnabled() &&
                   page()->choice().chosenRuns().size() == count &&
                   (count == 1 || document->content().title == fmtRuns(count));
        });
    }
    // The name in the first row of the table of all runs.
    static std::string firstOfTheTable(const report::ReportDocument& document) {
        for (const report::Block& block : document.content().sections.front().blocks) {
            if (const auto* const table = std::get_if<report::Table>(&block)) {
                return table->rows[0][0];
            }
        }
        return {};
    }
    static std::string fmtRuns(std::size_t count) { return "Cure report: " + std::to_string(count) + " runs"; }
    // Answers the file dialog that comes.
    void answerWith(const QString& file) {
        QTimer::singleShot(100, window.get(), [file] {
            auto* const dialog = qobject_cast<QFileDialog*>(QApplication::activeModalWidget());
            ASSERT_NE(dialog, nullptr);
            dialog->findChild<QLineEdit*>(u"fileNameEdit"_s)->setText(file);
            QMetaObject::invokeMethod(dialog, "accept");
        });
    }
    // Every word that pdftotext finds, one space between them.
    static std::string wordsOf(const QString& file) {
        QProcess program;
        program.start(u"pdftotext"_s, {u"-layout"_s, file, u"-"_s});
        EXPECT_TRUE(program.waitForFinished(60'000));
        return QString::fromUtf8(program.readAllStandardOutput()).simplified().toStdString();
    }
    static bool hasPdftotext() { return !QStandardPaths::findExecutable(u"pdftotext"_s).isEmpty(); }
};

TEST_F(ReportPageTest, saysWhatToDoFirstInAnEmptyBook) {
    goThere();
    EXPECT_THAT(named<QLabel>("reportEmpty")->text().toStdString(), HasSubstr("Import a table or record a cure first"));
    EXPECT_FALSE(named<QAbstractButton>("reportPrint")->isEnabled());
    EXPECT_FALSE(named<QAbstractButton>("reportSavePdf")->isEnabled());
}

TEST_F(ReportPageTest, savesTheChosenRunsAndSectionsAsPdf) {
    if (!hasPdftotext()) {
        GTEST_SKIP() << "pdftotext (poppler-utils) is not installed";
    }
    import({csv("rod-01.csv"), csv("rod-02.csv", 320.0), csv("rod-03.csv", 340.0)});
    goThere();
    ASSERT_TRUE(made(1)) << "the run that was looked at is chosen";
    // All runs by the button, the second left out by a click, a section by the space key.
    click("reportAllRuns");
    ASSERT_TRUE(made(3));
    tick(runs(), rowOf(runs(), u"rod-02"_s));
    ASSERT_TRUE(made(2));
    sections()->setFocus();
    sections()->setCurrentRow(rowOf(sections(), u"Cautions"_s));
    QTest::keyClick(sections(), Qt::Key_Space);
    ASSERT_TRUE(waitFor([&] {
        const auto document = page()->document();
        return document && named<QAbstractButton>("reportPrint")->isEnabled() &&
               document->content().sections.back().heading != "Cautions" &&
               std::none_of(document->content().sections.begin(), document->content().sections.end(),
                            [](const report::Section& section) { return section.heading == "Cautions"; });
    }));
    answerWith(path("handed-on"));
    click("reportSavePdf");
    ASSERT_TRUE(waitFor([&] { return QFile::exists(path("handed-on.pdf")); }));
    const std::string words = wordsOf(path("handed-on.pdf"));
    for (const char* const there : {"Cure report: 2 runs", "rod-01", "rod-03", "Trace", "Findings",
                                    "What was in the pot", "How the figures were found", "page 1 of "}) {
        EXPECT_THAT(words, HasSubstr(there));
    }
    EXPECT_THAT(words, Not(HasSubstr("rod-02")));
    EXPECT_THAT(words, Not(HasSubstr("hydrochloric")));
    EXPECT_THAT(words, Not(HasSubstr("Phenol burns")));
    const std::string last =
        "page " + std::to_string(pages()->pageCount()) + " of " + std::to_string(pages()->pageCount());
    EXPECT_THAT(words, HasSubstr(last)) << "the preview has as many pages as the file";
}

TEST_F(ReportPageTest, savesAWebPage) {
    import({csv("rod-01.csv")});
    goThere();
    ASSERT_TRUE(made(1));
    answerWith(path("handed-on"));
    click("reportSaveHtml");
    ASSERT_TRUE(waitFor([&] { return QFile::exists(path("handed-on.html")); }));
    QFile file(path("handed-on.html"));
    ASSERT_TRUE(file.open(QIODevice::ReadOnly));
    const std::string html = file.readAll().toStdString();
    EXPECT_THAT(html, HasSubstr("<svg role=\"img\""));
    EXPECT_THAT(html, HasSubstr("Cure report: rod-01"));
}

TEST_F(ReportPageTest, putsRunsIntoAnotherOrderByKeys) {
    import({csv("rod-01.csv"), csv("rod-02.csv", 320.0)});
    goThere();
    ASSERT_TRUE(made(1));
    click("reportAllRuns");
    ASSERT_TRUE(made(2));
    runs()->setFocus();
    runs()->setCurrentRow(rowOf(runs(), u"rod-02"_s));
    QTest::keyClick(runs(), Qt::Key_Up, Qt::ControlModifier);
    EXPECT_EQ(rowOf(runs(), u"rod-02"_s), 0);
    ASSERT_TRUE(waitFor([&] {
        const auto document = page()->document();
        return document && firstOfTheTable(*document) == "rod-02";
    }));
}

TEST_F(ReportPageTest, comparesTwoRunsOrMore) {
    import({csv("rod-01.csv"), csv("rod-02.csv", 320.0)});
    goThere();
    ASSERT_TRUE(made(1));
    const auto heading = [&] { return page()->document()->content().sections.front().heading; };
    EXPECT_NE(heading(), "Comparison");
    const QListWidgetItem& line = *sections()->item(rowOf(sections(), u"Comparison of the runs"_s));
    EXPECT_EQ(sections()->row(&line), 0) << "first, as it stands in the report";
    EXPECT_FALSE(line.flags().testFlag(Qt::ItemIsEnabled)) << "one run cannot be compared";
    EXPECT_THAT(line.toolTip().toStdString(), HasSubstr("two runs or more"));
    click("reportAllRuns");
    ASSERT_TRUE(made(2));
    EXPECT_EQ(heading(), "Comparison");
    EXPECT_TRUE(sections()->item(0)->flags().testFlag(Qt::ItemIsEnabled));
    tick(sections(), 0);
    ASSERT_TRUE(waitFor([&] { return page()->document() && made(2) && heading() == "All runs"; }));
    tick(sections(), 0);
    ASSERT_TRUE(waitFor([&] { return page()->document() && made(2) && heading() == "Comparison"; }));
    click("reportNoRuns");
    EXPECT_FALSE(sections()->item(0)->flags().testFlag(Qt::ItemIsEnabled));
    EXPECT_EQ(sections()->item(0)->checkState(), Qt::Checked) << "what was chosen is kept";
}

TEST_F(ReportPageTest, keepsPeaksUnderTheLimitOfThePageCompare) {
    import({csv("rod-01.csv"), csv("rod-02.csv", 320.0)});
    goThere();
    ASSERT_TRUE(made(1));
    click("reportAllRuns");
    ASSERT_TRUE(made(2));
    EXPECT_THAT(page()->document()->html(), HasSubstr("limit 95 °C"));
    QTest::keyClick(window.get(), Qt::Key_3, Qt::ControlModifier);
    ASSERT_TRUE(waitFor([&] {
        const auto* const limit = window->findChild<QLineEdit*>(u"compareLimit"_s);
        return limit != nullptr && limit->isVisible();
    }));
    auto* const limit = named<QLineEdit>("compareLimit");
    limit->setFocus();
    limit->selectAll();
    QTest::keyClicks(limit, u"88"_s);
    QTest::keyClick(limit, Qt::Key_Return);
    goThere();
    EXPECT_TRUE(
        waitFor([&] { return made(2) && page()->document()->html().find("limit 88 °C") != std::string::npos; }));
}

TEST(ReportChoice, putsASectionThatIsNewWhereItBelongs) {
    const ReportChoice remembered(u"summary,-batch,findings,trace"_s);
    QStringList ids;
    for (const CheckList::Line& line : remembered.sections()) {
        ids += line.id;
    }
    EXPECT_EQ(ids.join(u' ').toStdString(),
              "comparison summary batch findings warnings events inputs photos cautions method trace");
    EXPECT_FALSE(remembered.sections()[2].chosen);
    EXPECT_TRUE(remembered.sections()[0].chosen);
    EXPECT_FALSE(remembered.wish().has(session::ReportSection::comparison)) << "of no run";
}

TEST_F(ReportPageTest, remembersTheSections) {
    import({csv("rod-01.csv")});
    goThere();
    ASSERT_TRUE(made(1));
    const int row = rowOf(sections(), u"Events"_s);
    tick(sections(), row);
    sections()->setCurrentRow(row);
    click("reportSectionUp");
    ASSERT_TRUE(close());
    open();
    ASSERT_TRUE(waitFor([&] { return analysed(); }));
    goThere();
    EXPECT_EQ(rowOf(sections(), u"Events"_s), row - 1);
    EXPECT_EQ(sections()->item(row - 1)->checkState(), Qt::Unchecked);
}

TEST_F(ReportPageTest, asksForARunOrASection) {
    import({csv("rod-01.csv")});
    goThere();
    ASSERT_TRUE(made(1));
    click("reportNoRuns");
    ASSERT_TRUE(waitFor([&] { return page()->document() == nullptr; }));
    EXPECT_THAT(named<QLabel>("reportEmpty")->text().toStdString(), HasSubstr("Tick the runs on the left"));
    click("reportAllRuns");
    ASSERT_TRUE(made(1));
    sections()->chooseAll(false);
    ASSERT_TRUE(waitFor([&] { return page()->document() == nullptr; }));
    EXPECT_THAT(named<QLabel>("reportEmpty")->text().toStdString(), HasSubstr("what the report is to be made of"));
}

TEST_F(ReportPageTest, isMadeAnewWhenARunChanges) {
    import({csv("rod-01.csv")});
    goThere();
    ASSERT_TRUE(made(1));
    book().rename(book().runs()[0].row.id, u"first rod"_s);
    EXPECT_TRUE(
        waitFor([&] { return page()->document() && page()->document()->content().title == "Cure report: first rod"; }));
}

TEST_F(ReportPageTest, showsThePhotosOfARun) {
    import({csv("rod-01.csv")});
    QImage photo(64, 48, QImage::Format_RGB32);
    photo.fill(Qt::darkGreen);
    ASSERT_TRUE(photo.save(path("rod.png")));
    book().addPhoto(book().runs()[0].row.id, path("rod.png"));
    ASSERT_TRUE(waitFor([&] { return book().view() && !book().view()->photos.empty(); }));
    goThere();
    ASSERT_TRUE(made(1));
    answerWith(path("photo.html"));
    click("reportSaveHtml");
    ASSERT_TRUE(waitFor([&] { return QFile::exists(path("photo.html")); }));
    QFile file(path("photo.html"));
    ASSERT_TRUE(file.open(QIODevice::ReadOnly));
    EXPECT_THAT(file.readAll().toStdString(), HasSubstr("<img alt=\"rod.png\" src=\"data:image/jpeg;base64,"));
}

TEST_F(ReportPageTest, printsFromEachPageThatCanBeRead) {
    import({csv("rod-01.csv")});
    QString file = path("from-analyse.pdf");
    int print_jobs = 0;
    printInto(*window, file, print_jobs);
    const auto written = [&file] {
        QFile read(file);
        return read.open(QIODevice::ReadOnly) && read.readAll().trimmed().endsWith("%%EOF");
    };
    QTest::keyClick(window.get(), Qt::Key_P, Qt::ControlModifier);
    EXPECT_TRUE(waitFor(written));
    goThere();
    ASSERT_TRUE(made(1));
    file = path("from-report.pdf");
    printInto(*window, file, print_jobs);
    QTest::keyClick(window.get(), Qt::Key_P, Qt::ControlModifier);
    EXPECT_TRUE(waitFor(written));
    EXPECT_EQ(print_jobs, 2);
    if (hasPdftotext()) {
        EXPECT_EQ(wordsOf(path("from-analyse.pdf")), wordsOf(path("from-report.pdf")));
        EXPECT_THAT(wordsOf(file), HasSubstr("Cure report: rod-01"));
    }
    QTest::keyClick(window.get(), Qt::Key_1, Qt::ControlModifier);
    EXPECT_TRUE(waitFor([&] { return !named<QAction>("printPage")->isEnabled(); })) << "nothing to read on Record";
}

TEST_F(ReportPageTest, zoomsAndTurnsPagesByKeys) {
    import({csv("rod-01.csv")});
    goThere();
    ASSERT_TRUE(made(1));
    ASSERT_TRUE(waitFor([&] { return pages()->isPainted(); }));
    ASSERT_GT(pages()->pageCount(), 1);
    pages()->setFocus();
    EXPECT_EQ(pages()->currentPage(), 0);
    QTest::keyClick(pages(), Qt::Key_End);
    EXPECT_EQ(pages()->currentPage(), pages()->pageCount() - 1);
    QTest::keyClick(pages(), Qt::Key_Home);
    EXPECT_EQ(pages()->currentPage(), 0);
    const double before = pages()->zoom();
    QTest::keyClick(pages(), Qt::Key_Plus);
    EXPECT_NEAR(pages()->zoom(), 1.2 * before, 1e-9);
    click("reportFitPage");
    EXPECT_LT(pages()->zoom(), before);
    ASSERT_TRUE(waitFor([&] { return pages()->isPainted(); }));
    // The page is white, with ink on it.
    const QImage seen = pages()->grab().toImage();
    int dark = 0;
    for (int y = 0; y < seen.height(); ++y) {
        for (int x = 0; x < seen.width(); ++x) {
            dark += qGray(seen.pixel(x, y)) < 100 ? 1 : 0;
        }
    }
    EXPECT_GT(dark, 500);
}

} // namespace
} // namespace potwatch::window
