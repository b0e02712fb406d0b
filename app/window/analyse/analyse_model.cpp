// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/analyse/analyse_model.h"

#include "app/format/fault_text.h"
#include "app/format/number.h"
#include "app/format/text.h"
#include "app/session/batch_check.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

namespace potwatch::window {
namespace {

QString text(std::string_view words) {
    return QString::fromUtf8(words.data(), static_cast<qsizetype>(words.size()));
}

QString escaped(const std::string& words) {
    return text(words).toHtmlEscaped();
}

QString paragraph(const QString& html) {
    return QStringLiteral("<p style=\"margin:0 0 6px 0\">%1</p>").arg(html);
}

QString atTime(double time_s) {
    return text(format::valueText(time_s, format::Quantity::time));
}

QString shortOf(const std::string& words) {
    return text(format::shortened(format::oneLine(words), 24));
}

QString kindOf(AnnotationKind kind) {
    switch (kind) {
    case AnnotationKind::text:
        return AnalyseModel::tr("text");
    case AnnotationKind::arrow:
        return AnalyseModel::tr("arrow");
    case AnnotationKind::span:
        return AnalyseModel::tr("span");
    }
    return {};
}

QString nameOf(const Annotation& annotation) {
    return annotation.text.empty()
               ? kindOf(annotation.kind)
               : AnalyseModel::tr("%1 \"%2\"").arg(kindOf(annotation.kind), shortOf(annotation.text));
}

} // namespace

AnalyseModel::AnalyseModel(QObject* parent)
    : QObject(parent)
    , findings_(this)
    , form_(this) {
    connect(&form_, &PotFormModel::batchEdited, this, [this](const Batch& batch, const QString& what) {
        notes_.batch = batch;
        Q_EMIT notesEdited(notes_, what);
        Q_EMIT changed();
    });
    connect(&form_, &PotFormModel::message, this, &AnalyseModel::message);
}

bool AnalyseModel::setRun(std::shared_ptr<const session::RunView> run) {
    const bool other = !run || !run_ || run->id != run_->id;
    const bool same_findings = !other && run->analysis == run_->analysis;
    run_ = std::move(run);
    notes_ = run_ ? run_->notes : book::Notes{};
    form_.setRun(run_);
    if (!same_findings) {
        findings_.setAnalysis(analysis());
    }
    Q_EMIT changed();
    return other;
}

std::shared_ptr<const Analysis> AnalyseModel::analysis() const {
    return run_ ? run_->analysis : nullptr;
}

QString AnalyseModel::title() const {
    if (!run_) {
        return {};
    }
    if (!notes_.batch.name.empty()) {
        return text(format::oneLine(notes_.batch.name));
    }
    return run_->analysis ? text(format::oneLine(run_->analysis->findings.run)) : tr("run without a name");
}

QString AnalyseModel::explanation(int row) const {
    if (!run_) {
        return {};
    }
    if (!run_->analysis) {
        QString said;
        for (const Fault& fault : run_->faults) {
            said += paragraph(escaped(format::faultText(fault)));
        }
        return said.isEmpty() ? paragraph(tr("The findings are being worked out.")) : said;
    }
    const format::FindingRow* const finding = findings_.finding(row);
    if (finding == nullptr) {
        return paragraph(
            tr("Choose a finding to see where it comes from and how it was computed. \u00b1 is half of the "
               "interval that holds the value with 95 % confidence.")
                .toHtmlEscaped());
    }
    const format::Explanation told = format::explain(*run_->analysis, *finding);
    QString html = paragraph(QStringLiteral("<b>%1</b>").arg(escaped(told.title)));
    if (!told.by_hand.empty()) {
        QString reset;
        for (const LandmarkKind kind : run_->analysis->findings.by_hand) {
            const bool boiling = kind == LandmarkKind::boilStart || kind == LandmarkKind::boilEnd;
            if (kind == finding->landmark || (finding->id == format::FindingId::boiling && boiling)) {
                reset += QStringLiteral(" \u00b7 <a href=\"reset:%1\">%2</a>")
                             .arg(text(potwatch::nameOf(kind)),
                                  boiling ? tr("reset the %1").arg(nameOf(kind)) : tr("reset"));
            }
        }
        html += paragraph(escaped(told.by_hand) + reset);
    }
    for (const std::string& words : {told.shown, told.how}) {
        html += words.empty() ? QString() : paragraph(escaped(words));
    }
    if (!told.inside.empty()) {
        html += paragraph(QStringLiteral("<i>%1</i>").arg(escaped(told.inside)));
    }
    if (!told.inputs.empty()) {
        html += QStringLiteral("<table cellspacing=\"0\" cellpadding=\"2\" width=\"100%\">");
        for (const format::ExplainedInput& input : told.inputs) {
            const QString name =
                input.field.empty()
                    ? escaped(input.name)
                    : QStringLiteral("<a href=\"field:%1\">%2</a>").arg(escaped(input.field), escaped(input.name));
            const QString u = input.u.empty() ? QString() : tr(", u = %1").arg(escaped(input.u));
            html += QStringLiteral("<tr><td width=\"42%\">%1</td><td>%2%3 \u00b7 %4</td></tr>")
                        .arg(name, escaped(input.value), u, escaped(input.from));
        }
        html += QStringLiteral("</table>");
    }
    return html;
}

std::vector<AnalyseModel::Warning> AnalyseModel::warnings() const {
    std::vector<Warning> all;
    if (run_ && run_->analysis) {
        for (const std::string& words : run_->analysis->findings.warnings) {
            std::string field = format::fieldOfWarning(words);
            if (form_.field(field) == nullptr) {
                field.clear();
            }
            all.push_back({.text = text(format::oneLine(words)), .field = std::move(field)});
        }
    }
    return all;
}

void AnalyseModel::edit(book::Notes notes, const QString& what, std::string_view place) {
    if (!run_ || notes == notes_) {
        return;
    }
    const std::vector<Fault> faults = session::newFaults(notes_.batch, notes.batch);
    if (!faults.empty()) {
        Fault fault = faults.front();
        fault.where = {};
        Q_EMIT message(text(describe(fault)));
        form_.reportProblem(place, text(describe(fault)));
        return;
    }
    notes_ = std::move(notes);
    form_.setBatch(notes_.batch);
    Q_EMIT notesEdited(notes_, what);
    Q_EMIT changed();
}

QString AnalyseModel::nameOf(LandmarkKind kind) {
    switch (kind) {
    case LandmarkKind::firstDeviation:
        return tr("first deviation");
    case LandmarkKind::onset:
        return tr("onset");
    case LandmarkKind::steepest:
        return tr("steepest");
    case LandmarkKind::boilStart:
        return tr("start of boiling");
    case LandmarkKind::peak:
        return tr("peak");
    case LandmarkKind::boilEnd:
        return tr("end of boiling");
    case LandmarkKind::end:
        return tr("end");
    }
    return {};
}

void AnalyseModel::moveLandmark(LandmarkKind kind, double time_s) {
    book::Notes notes = notes_;
    std::erase_if(notes.overrides, [kind](const LandmarkOverride& one) { return one.landmark == kind; });
    notes.overrides.push_back({.landmark = kind, .time_s = time_s});
    edit(std::move(notes), tr("%1 put at %2").arg(nameOf(kind), atTime(time_s)));
}

void AnalyseModel::resetLandmark(LandmarkKind kind) {
    book::Notes notes = notes_;
    std::erase_if(notes.overrides, [kind](const LandmarkOverride& one) { return one.landmark == kind; });
    edit(std::move(notes), tr("%1 reset").arg(nameOf(kind)));
}

void AnalyseModel::addAnnotation(const Annotation& annotation) {
    book::Notes notes = notes_;
    notes.annotations.push_back(annotation);
    edit(std::move(notes), window::nameOf(annotation));
}

void AnalyseModel::changeAnnotation(int index, const Annotation& annotation) {
    if (index < 0 || index >= static_cast<int>(notes_.annotations.size())) {
        return;
    }
    book::Notes notes = notes_;
    notes.annotations[static_cast<std::size_t>(index)] = annotation;
    edit(std::move(notes), tr("%1 changed").arg(window::nameOf(annotation)));
}

void AnalyseModel::removeAnnotation(int index) {
    if (index < 0 || index >= static_cast<int>(notes_.annotations.size())) {
        return;
    }
    book::Notes notes = notes_;
    const QString name = window::nameOf(notes.annotations[static_cast<std::size_t>(index)]);
    notes.annotations.erase(notes.annotations.begin() + index);
    edit(std::move(notes), tr("%1 taken out").arg(name));
}

void AnalyseModel::addEvent(const Event& event) {
    book::Notes notes = notes_;
    notes.batch.events.push_back(event);
    std::stable_sort(notes.batch.events.begin(), notes.batch.events.end(),
                     [](const Event& a, const Event& b) { return a.time_s < b.time_s; });
    edit(std::move(notes), tr("\"%1\" at %2").arg(shortOf(event.kind), atTime(event.time_s)), "event");
}

void AnalyseModel::changeEvent(int index, const Event& event) {
    if (index < 0 || index >= static_cast<int>(notes_.batch.events.size())) {
        return;
    }
    book::Notes notes = notes_;
    const Event& before = notes_.batch.events[static_cast<std::size_t>(index)];
    const QString what = before.time_s != event.time_s
                             ? tr("\"%1\" moved to %2").arg(shortOf(event.kind), atTime(event.time_s))
                             : tr("event \"%1\" changed").arg(shortOf(event.kind));
    notes.batch.events[static_cast<std::size_t>(index)] = event;
    std::stable_sort(notes.batch.events.begin(), notes.batch.events.end(),
                     [](const Event& a, const Event& b) { return a.time_s < b.time_s; });
    edit(std::move(notes), what, "event");
}

void AnalyseModel::removeEvent(int index) {
    if (index < 0 || index >= static_cast<int>(notes_.batch.events.size())) {
        return;
    }
    book::Notes notes = notes_;
    const QString kind = shortOf(notes.batch.events[static_cast<std::size_t>(index)].kind);
    notes.batch.events.erase(notes.batch.events.begin() + index);
    edit(std::move(notes), tr("\"%1\" taken out").arg(kind), "event");
}

QStringList AnalyseModel::eventKinds() {
    // As they stand in files (design of the batch file): not translated.
    return {QStringLiteral("dose start"), QStringLiteral("dose end"), QStringLiteral("stirrer off"),
            QStringLiteral("pour"),       QStringLiteral("gel"),      QStringLiteral("foam"),
            QStringLiteral("heat off"),   QStringLiteral("note")};
}

} // namespace potwatch::window
