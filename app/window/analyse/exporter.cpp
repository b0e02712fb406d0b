// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/analyse/exporter.h"

#include "app/format/findings_json.h"
#include "app/report/plot.h"
#include "app/session/series_csv.h"
#include "app/session/whole_file.h"

#include <QRegularExpression>
#include <QTimer>
#include <nlohmann/json.hpp>

#include <new>
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

void Exporter::inBackground(std::function<Result<void>()> work, const QString& file) {
    Q_EMIT message(tr("Writing %1 ...").arg(file));
    threads_.emplace_back([this, work = std::move(work), file] {
        Result<void> result;
        try {
            result = work();
        } catch (const std::bad_alloc&) {
            result = tl::unexpected(Fault{.kind = FaultKind::storage,
                                          .what = "this computer's memory is not enough to write it",
                                          .where = {.file = file.toStdString()},
                                          .remedy = "close other programs and try again"});
        }
        QMetaObject::invokeMethod(
            this, [this, result, file] { tell(result, file); }, Qt::QueuedConnection);
    });
}

void Exporter::soon(std::function<Result<void>()> work, const QString& file) {
    Q_EMIT message(tr("Writing %1 ...").arg(file));
    QTimer::singleShot(0, this, [this, work = std::move(work), file] { tell(work(), file); });
}

void Exporter::start(Kind kind, std::shared_ptr<const Analysis> analysis, const QString& file) {
    if (!analysis) {
        return;
    }
    const auto work = [kind, analysis = std::move(analysis), path = file.toStdString()]() -> Result<void> {
        switch (kind) {
        case Kind::plot:
            return report::writePlot(*analysis, path);
        case Kind::series:
            return session::writeSeries(analysis->series, path);
        case Kind::findings:
            return writeFindings(*analysis, path);
        }
        return {};
    };
    if (kind == Kind::plot) {
        soon(work, file);
    } else {
        inBackground(work, file);
    }
}

void Exporter::tell(const Result<void>& result, const QString& file) {
    Q_EMIT message(result ? tr("Written: %1").arg(file) : QString::fromStdString(describe(result.error())));
    Q_EMIT finished();
}

QString Exporter::filterOf(Kind kind) {
    switch (kind) {
    case Kind::plot:
        return tr("Vector drawing (*.svg);;PDF (*.pdf);;Picture (*.png)");
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
    case Kind::series:
        return name + QStringLiteral("-series.csv");
    case Kind::findings:
        return name + QStringLiteral("-findings.json");
    }
    return name;
}

} // namespace potwatch::window
