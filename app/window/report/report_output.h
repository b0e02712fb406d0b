// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"
#include "app/report/report_document.h"

#include <QObject>
#include <QString>
#include <QTimer>

#include <functional>
#include <memory>
#include <thread>

class QPrinter;

namespace potwatch::window {

// Puts a report into a file or onto paper, a page at a time, so that the window answers in between; the file is written
// on another thread. One at a time: what is wanted meanwhile is refused with a message.
class ReportOutput : public QObject {
    Q_OBJECT

public:
    explicit ReportOutput(QObject* parent = nullptr);
    ~ReportOutput() override;

    // A PDF, or a web page where the name ends in .html or .htm.
    void save(std::shared_ptr<report::ReportDocument> document, const QString& file);
    // The printer's pages are made full (QPrinter::setFullPage): the report has margins of its own.
    void print(std::shared_ptr<report::ReportDocument> document, std::unique_ptr<QPrinter> printer);

    [[nodiscard]] bool isBusy() const { return busy_; }

Q_SIGNALS:
    void working(double fraction);
    void message(const QString& text);
    void finished(bool done);

private:
    [[nodiscard]] bool begin(const QString& words);
    void go();
    void write(std::string bytes, const QString& file);
    void end(const Result<void>& result, const QString& done);

    bool busy_ = false;
    std::function<bool()> next_; // does the next part: false once there is none left
    std::function<double()> fraction_;
    std::function<void()> last_;
    QTimer soon_;
    std::jthread writer_;
};

} // namespace potwatch::window
