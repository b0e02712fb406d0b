// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/window/report/report_choice.h"
#include "app/window/report/report_maker.h"

#include <QWidget>

#include <memory>
#include <vector>

class QLabel;
class QProgressBar;
class QPushButton;
class QStackedWidget;

namespace potwatch::window {

class PageView;
class Settings;

// The page Report: what it is to be made of on the left, the pages as they will print in the middle.
class ReportPage : public QWidget {
    Q_OBJECT

public:
    ReportPage(ReportMaker& maker, Settings& settings, QWidget* parent = nullptr);

    // The runs of a book; of another book than before, `first` are ticked.
    void setBook(const QString& path, const std::vector<session::ListedRun>& runs,
                 const std::vector<book::RunId>& first);
    // Makes the report anew, as when the page is come to.
    void refresh();
    // While it is being put into a file or onto paper.
    void setWriting(bool writing, double fraction = 0.0);

    // Null while there is none.
    [[nodiscard]] std::shared_ptr<report::ReportDocument> document() const { return document_; }
    // Without an ending: "rod-03-report", "batches-report".
    [[nodiscard]] QString suggestedName() const;
    [[nodiscard]] const ReportChoice& choice() const { return choice_; }

Q_SIGNALS:
    void printWanted();
    void pdfWanted();
    void webPageWanted();

private:
    [[nodiscard]] QWidget* buildChoice();
    [[nodiscard]] QWidget* buildBar();
    void edited();
    void made(const MadeReport& made);
    void showWork(double fraction, const QString& words);
    void showState();
    void showPlace();

    ReportMaker& maker_;
    Settings& settings_;
    ReportChoice choice_;
    QString book_;
    bool runs_touched_ = false;                 // by the person: what is ticked then stays
    std::vector<ReportChoice::RunState> asked_; // of the runs, when the report was wanted
    std::shared_ptr<report::ReportDocument> document_;
    bool making_ = false;
    bool writing_ = false;
    QTimer make_soon_;

    CheckList* sections_ = nullptr;
    CheckList* runs_ = nullptr;
    QStackedWidget* stack_ = nullptr;
    QLabel* empty_ = nullptr;
    PageView* pages_ = nullptr;
    QLabel* place_ = nullptr; // page and zoom
    QLabel* work_ = nullptr;
    QProgressBar* progress_ = nullptr;
    QLabel* left_out_ = nullptr;
    std::vector<QPushButton*> takes_; // print, save
    std::vector<QWidget*> views_;     // zoom
};

} // namespace potwatch::window
