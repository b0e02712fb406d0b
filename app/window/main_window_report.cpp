// SPDX-License-Identifier: GPL-3.0-or-later
// The window around reports: the page, printing from every page, and the files they go into.
#include "app/session/file_name.h"
#include "app/window/analyse/analyse_page.h"
#include "app/window/compare/compare_page.h"
#include "app/window/main_window.h"
#include "app/window/notice_bar.h"
#include "app/window/print_sheet.h"
#include "app/window/report/report_maker.h"
#include "app/window/report/report_output.h"
#include "app/window/report/report_page.h"

#include <QFileDialog>
#include <QFileInfo>
#include <QPrintDialog>
#include <QPrinter>
#include <QStackedWidget>

#include <utility>

namespace potwatch::window {
namespace {

using namespace Qt::StringLiterals;

QString pdfFilter() {
    return MainWindow::tr("PDF (*.pdf)");
}

QString webPageFilter() {
    return MainWindow::tr("Web page (*.html)");
}

} // namespace

void MainWindow::listenToReport() {
    report_maker_ = new ReportMaker(*link_, this);
    report_output_ = new ReportOutput(this);
    choose_printer_ = [this](QPrinter& printer) {
        QPrintDialog dialog(&printer, this);
        dialog.setObjectName(u"printDialog"_s);
        return dialog.exec() == QDialog::Accepted;
    };
    connect(report_output_, &ReportOutput::message, this, &MainWindow::say);
    connect(report_output_, &ReportOutput::working, this, [this](double fraction) {
        if (report_ != nullptr) {
            report_->setWriting(true, fraction);
        }
    });
    connect(report_output_, &ReportOutput::finished, this, [this] {
        if (report_ != nullptr) {
            report_->setWriting(false);
        }
    });
}

void MainWindow::showReport() {
    if (report_ == nullptr) {
        report_ = new ReportPage(*report_maker_, settings_, pages_);
        pages_->addWidget(report_);
        connect(report_, &ReportPage::printWanted, this, &MainWindow::printPage);
        connect(report_, &ReportPage::pdfWanted, this,
                [this] { saveReport(report_->suggestedName() + u".pdf"_s, pdfFilter()); });
        connect(report_, &ReportPage::webPageWanted, this,
                [this] { saveReport(report_->suggestedName() + u".html"_s, webPageFilter()); });
        connect(book_, &OpenBook::runsChanged, this, &MainWindow::showReportBook);
    }
    if (compare_ != nullptr) {
        compare_->save(settings_); // the report keeps peaks under the limit that was chosen there
    }
    pages_->setCurrentWidget(report_);
    showPage();
    report_->refresh();
}

void MainWindow::showReportBook() {
    if (report_ != nullptr) {
        report_->setBook(book_->path(), book_->runs(), chosenRuns());
    }
}

void MainWindow::printPage() {
    if (page_ == report_page) {
        printReport(report_->document());
    } else if (page_ == compare_page) {
        printSheetOf(compare_->sheet());
    } else if (page_ == analyse_page && analyse_->showsData()) {
        printSheetOf(analyse_->dataSheet());
    } else if (page_ == analyse_page) {
        makeShownReport([this](const auto& document) { printReport(document); });
    }
}

void MainWindow::printReport(const std::shared_ptr<report::ReportDocument>& document) {
    if (!document) {
        say(tr("There is no report to print yet"));
        return;
    }
    auto printer = std::make_unique<QPrinter>(QPrinter::HighResolution);
    printer->setDocName(QString::fromStdString(document->content().title));
    printer->setFullPage(true);
    if (choose_printer_(*printer)) {
        report_output_->print(document, std::move(printer));
    }
}

void MainWindow::printSheetOf(const std::optional<Sheet>& sheet) {
    if (!sheet) {
        say(tr("There is nothing to print yet"));
        return;
    }
    QPrinter printer(QPrinter::HighResolution);
    printer.setDocName(sheet->title);
    printer.setFullPage(true);
    if (choose_printer_(printer)) {
        const Result<void> printed = printSheet(*sheet, printer);
        say(printed ? tr("Sent to the printer") : QString::fromStdString(describe(printed.error())));
    }
}

void MainWindow::saveReport(const QString& suggested, const QString& filter) {
    const std::shared_ptr<report::ReportDocument> document = report_->document();
    const QString path =
        QFileDialog::getSaveFileName(this, tr("Save the report"), lastFolder() + u'/' + suggested, filter);
    if (!path.isEmpty()) {
        rememberFolder(path);
        const QString ending = u'.' + QFileInfo(suggested).suffix();
        report_output_->save(document, path.endsWith(ending, Qt::CaseInsensitive) ? path : path + ending);
    }
}

void MainWindow::makeShownReport(std::function<void(const std::shared_ptr<report::ReportDocument>&)> then) {
    if (book_->shownId().empty()) {
        return;
    }
    say(tr("Making the report ..."));
    session::ReportWish wish = ReportChoice(settings_.text(u"report/sections"_s)).wish();
    if (wish.sections.empty()) {
        wish = ReportChoice().wish();
    }
    report_maker_->make({book_->shownId()}, std::move(wish), [this, then = std::move(then)](const MadeReport& made) {
        if (!made.left_out.empty()) {
            sayFault(u"report"_s, tr("not all is in the report"), made.left_out.front().fault);
        }
        if (made.document) {
            then(made.document);
        }
    });
}

void MainWindow::saveShownReport() {
    const session::ListedRun* const run = book_->run(book_->shownId());
    if (run == nullptr) {
        return;
    }
    const QString name = QString::fromStdString(session::asFileName(run->row.name)) + u"-report.pdf"_s;
    QString filter = pdfFilter();
    const QString path = QFileDialog::getSaveFileName(this, tr("Save the report"), lastFolder() + u'/' + name,
                                                      pdfFilter() + u";;"_s + webPageFilter(), &filter);
    if (path.isEmpty()) {
        return;
    }
    rememberFolder(path);
    const QString ending = filter == webPageFilter() ? u".html"_s : u".pdf"_s;
    const QString file = QFileInfo(path).suffix().isEmpty() ? path + ending : path;
    makeShownReport([this, file](const auto& document) { report_output_->save(document, file); });
}

} // namespace potwatch::window
