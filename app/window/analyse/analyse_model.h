// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/format/explanation.h"
#include "app/session/run_view.h"
#include "app/window/analyse/findings_model.h"
#include "app/window/pot_form/pot_form_model.h"

#include <QObject>
#include <QString>
#include <QStringList>

#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace potwatch::window {

// The page's state: the run, its notes with every edit in them, its findings and what explains them. Every edit comes
// out as the whole notes, with words for the undo menu.
class AnalyseModel : public QObject {
    Q_OBJECT

public:
    explicit AnalyseModel(QObject* parent = nullptr);

    // True where it is another run than before.
    bool setRun(std::shared_ptr<const session::RunView> run);
    [[nodiscard]] const std::shared_ptr<const session::RunView>& run() const { return run_; }
    [[nodiscard]] std::shared_ptr<const Analysis> analysis() const;
    [[nodiscard]] const book::Notes& notes() const { return notes_; }
    [[nodiscard]] QString title() const;

    [[nodiscard]] FindingsModel& findings() { return findings_; }
    [[nodiscard]] PotFormModel& form() { return form_; }

    // The explanation of a row of the findings as rich text: links "reset:peak" and "field:charge.resin_g". Nothing is
    // explained where row is none: what the findings are, or why there are none.
    [[nodiscard]] QString explanation(int row) const;

    struct Warning {
        QString text;
        std::string field; // that mends it; empty where none does
    };
    [[nodiscard]] std::vector<Warning> warnings() const;

    void moveLandmark(LandmarkKind kind, double time_s);
    void resetLandmark(LandmarkKind kind);
    void addAnnotation(const Annotation& annotation);
    void changeAnnotation(int index, const Annotation& annotation);
    void removeAnnotation(int index);
    void addEvent(const Event& event);
    void changeEvent(int index, const Event& event); // index: in the batch
    void removeEvent(int index);

    [[nodiscard]] static QStringList eventKinds();
    [[nodiscard]] static QString nameOf(LandmarkKind kind);

Q_SIGNALS:
    void changed(); // another run, other notes or other findings
    void notesEdited(const potwatch::book::Notes& notes, const QString& what);
    void message(const QString& text);

private:
    void edit(book::Notes notes, const QString& what, std::string_view place = {});

    std::shared_ptr<const session::RunView> run_;
    book::Notes notes_;
    FindingsModel findings_;
    PotFormModel form_;
};

} // namespace potwatch::window
