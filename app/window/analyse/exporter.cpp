// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/analyse/exporter.h"

#include "app/format/findings_json.h"
#include "app/report/plot.h"
#include "app/report/report_print.h"
#include "app/session/series_csv.h"
#include "app/session/whole_file.h"

#include <QPrinter>
#include <QRegularExpression>
#include <QTimer>
#include <nlohmann/json.hpp>

#include <span>
#include <utility>

namespace potwatch::window {
namespace {

Result<void> writeFindings(const Analysis& analysis, const std::string& path) {
    nlohmann::ordered_json runs = nlohmann::ordered_json::array();
    runs.push_back(format::findingsJson(analysis));
    const nlohmann::ordered_json whole{{"format", 1}, {"runs", std::move(runs)}};
    return session::writeWholeFile(path, whole.dump(2) + "\n");
}

} // namespace

Exporter::~Exporter() = default; // the threads end first: what was begun is written

void Exporter::start(Kind kind, std::shared_ptr<const Analysis> analysis, const QString& file) {
    if (!analysis) {
        return;
    }
    Q_EMIT message(tr("Writing %1 ...").arg(file));
    if (kind == Kind::plot || kind == Kind::report) {
        QTimer::singleShot(0, this, [this, kind, analysis, file] {
            const std::string path = file.toStdString();
            tell(kind == Kind::plot ? report::writePlot(*analysis, path)
                                    : report::writeReport(std::span(analysis.get(), 1), path),
                 file);
        });
        return;
    }
    threads_.emplace_back([this, kind, analysis = std::move(analysis), file] {
        const std::string path = file.toStdString();
        const Result<void> result =
            kind == Kind::series ? session::writeSeries(analysis->series, path) : writeFindings(*analysis, path);
        QMetaObject::invokeMethod(
            this, [this, result, file] { tell(result, file); }, Qt::QueuedConnection);
    });
}

void Exporter::print(std::shared_ptr<const Analysis> analysis, QPrinter& printer) {
    if (!analysis) {
        return;
    }
    const Result<void> printed = report::printReport(std::span(analysis.get(), 1), printer);
    Q_EMIT message(printed ? tr("The report was sent to the printer")
                           : QString::fromStdString(describe(printed.error())));
}

void Exporter::tell(const Result<void>& result, const QString& file) {
    Q_EMIT message(result ? tr("Written: %1").arg(file) : QString::fromStdString(describe(result.error())));
    Q_EMIT finished();
}

QString Exporter::filterOf(Kind kind) {
    switch (kind) {
    case Kind::plot:
        return tr("Vector drawing (*.svg);;PDF (*.pdf);;Picture (*.png)");
    case Kind::report:
        return tr("PDF (*.pdf);;Web page (*.html)");
    case Kind::series:
        return tr("CSV (*.csv)");
    case Kind::findings:
        return tr("JSON (*.json)");
    }
    return {};
}

QString Exporter::suggestedName(Kind kind, const QString& run) {
    static const QRegularExpression not_in_names(QStringLiteral("[\\s/\\\\:]+"));
    QString name = run.trimmed();
    name.replace(not_in_names, QStringLiteral("-"));
    name = name.isEmpty() ? QStringLiteral("run") : name;
    switch (kind) {
    case Kind::plot:
        return name + QStringLiteral(".svg");
    case Kind::report:
        return name + QStringLiteral("-report.pdf");
    case Kind::series:
        return name + QStringLiteral("-series.csv");
    case Kind::findings:
        return name + QStringLiteral("-findings.json");
    }
    return name;
}

} // namespace potwatch::window
