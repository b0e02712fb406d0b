// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/recording_news.h"
#include "app/window/open_book.h"
#include "app/window/settings.h"

#include <QMainWindow>
#include <QStringList>

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <utility>
#include <vector>

class QAction;
class QLabel;
class QMenu;
class QPrinter;
class QProgressBar;
class QProgressDialog;
class QPushButton;
class QSplitter;
class QStackedWidget;

namespace potwatch::report {
class ReportDocument;
}

namespace potwatch::window {

class AnalysePage;
class BookPanel;
class ComparePage;
class LibraryLink;
class NoticeBar;
class Rail;
class RecordPage;
class ReportMaker;
class ReportOutput;
class ReportPage;
class StartPage;
struct Sheet;

// The window: rail, batch book, page, menus, notices, status line. It asks the open book and shows; it does no I/O and
// no analysis.
class MainWindow : public QMainWindow {
    Q_OBJECT

public:
    // Paths of the books where nothing else is said.
    struct Books {
        QString standard;
        QString demo;
    };

    MainWindow(Settings& settings, Books books, QWidget* parent = nullptr);
    ~MainWindow() override;

    // Opens that book; empty = the last one, or the standard one where it is there, or none.
    void start(const QString& book, const QStringList& files);

    [[nodiscard]] OpenBook& book() { return *book_; }
    [[nodiscard]] LibraryLink& link() { return *link_; }

    // Asks where to print and how, false = not at all; the desktop's dialog unless another is set.
    using ChoosePrinter = std::function<bool(QPrinter& printer)>;
    void setPrinterChooser(ChoosePrinter choose) { choose_printer_ = std::move(choose); }

    // Tables are imported, batch files read into the run that is shown, a book is opened.
    void openFiles(const QStringList& files);

protected:
    void closeEvent(QCloseEvent* event) override;
    void dragEnterEvent(QDragEnterEvent* event) override;
    void dropEvent(QDropEvent* event) override;
    void changeEvent(QEvent* event) override;
    bool event(QEvent* event) override;

private:
    // Building (main_window_menus.cpp).
    void buildPanes();
    void buildMenus();
    void buildFileMenu();
    void buildEditMenu();
    void buildViewMenu();
    void buildRunMenu();
    void buildHelpMenu();
    QAction* add(QMenu& menu, const QString& name, const QString& words, const QKeySequence& keys,
                 const std::function<void()>& act);
    void fillRecentMenu();
    void fillTagMenu();
    void listenToBook();
    void listenToWork();

    // What stands where.
    enum Page : int { record_page, analyse_page, compare_page, report_page }; // as they stand in the rail
    void showPage();
    void goTo(Page page);
    void listenToRecording();
    void showPrevious(); // the run that "same as last run" means, on the Record page
    void recordingEnded(const session::RecordingEnded& news);
    void showRun();
    void showBusy(bool busy, double fraction);
    void listenToCompare();
    void showCompare(); // gives the page the runs of the list
    void printSheetOf(const std::optional<Sheet>& sheet);
    void forgetCompare(); // of the book that was open before
    void listenToFits();
    void offerFits(); // on the page
    void showFitCandidates();
    void forgetFit(); // of the book that was open before
    // The report (main_window_report.cpp).
    void listenToReport();
    void showReport();
    void showReportBook(); // its runs, on the page
    void printPage();      // whatever page can be read
    void printReport(const std::shared_ptr<report::ReportDocument>& document);
    void saveReport(const QString& suggested, const QString& filter);
    void makeShownReport(std::function<void(const std::shared_ptr<report::ReportDocument>&)> then);
    void saveShownReport();
    void calibrateProbes(); // main_window_calibrate.cpp
    void knowPot();
    void tellKnowPot(const book::RunId& recorded); // the dialog, where it is open
    void showTitle();
    void showActions();
    void say(const QString& text); // the status line
    void sayFault(const QString& subject, const QString& what, const Fault& fault);

    // The person's wishes (main_window_wishes.cpp).
    void newBook();
    void chooseBook();
    void openBook(const QString& path);
    void chooseFiles();
    void importFiles(const QStringList& files);
    void importDemo();
    void exportRuns();
    void exportBatch();
    void readBatch();
    void saveCopy();
    void repair(const QString& path);
    void deleteRuns();
    void newTag();
    void wantBook(); // makes sure that there is one to import into
    void stepPane(int step);
    void changeTextSize(int percent);
    [[nodiscard]] QString lastFolder() const;
    void rememberFolder(const QString& file);
    [[nodiscard]] std::vector<book::RunId> chosenRuns() const;

    // The book's news.
    void bookOpened(const session::BookOpened& news);
    void bookRefused(const session::BookRefused& news);
    void imported(const session::ImportEnded& news);
    void showPhoto(const session::PhotoRead& news);

    void saveSettings();

    Settings& settings_;
    Books books_;
    LibraryLink* link_ = nullptr;
    OpenBook* book_ = nullptr;
    Rail* rail_ = nullptr;
    BookPanel* panel_ = nullptr;
    QSplitter* splitter_ = nullptr;
    NoticeBar* notices_ = nullptr;
    QStackedWidget* pages_ = nullptr;
    StartPage* start_ = nullptr;
    AnalysePage* analyse_ = nullptr; // made when the first run is shown
    RecordPage* record_ = nullptr;
    ComparePage* compare_ = nullptr;                // made when it is first gone to
    std::vector<session::ListedRun> compared_book_; // as it was when its runs were last asked for
    std::vector<book::RunId> compared_ids_;
    std::uint64_t compare_ticket_ = 0;
    ReportPage* report_ = nullptr; // made when it is come to
    ReportMaker* report_maker_ = nullptr;
    ReportOutput* report_output_ = nullptr;
    ChoosePrinter choose_printer_;
    QAction* print_ = nullptr;
    Page page_ = analyse_page;
    QString recorded_into_; // the book of the latest recording
    QLabel* status_ = nullptr;
    QWidget* work_ = nullptr;
    QProgressBar* work_progress_ = nullptr;
    QLabel* work_words_ = nullptr;
    QMenu* recent_menu_ = nullptr;
    QMenu* tag_menu_ = nullptr;
    QAction* show_panel_ = nullptr;
    std::vector<QAction*> for_a_book_; // meaningless without one
    std::vector<QAction*> for_a_run_;
    std::vector<QAction*> for_edits_; // and those that change it
    QString wanted_book_;             // to be opened with the files that follow
    QStringList files_to_open_;
    book::RunId run_to_show_;
    bool may_close_ = false;
    bool closing_ = false;
    std::uint64_t fit_ticket_ = 0; // of the fit that was wanted last
};

} // namespace potwatch::window
