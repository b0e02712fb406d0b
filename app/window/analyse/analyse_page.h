// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/fit_candidates.h"
#include "app/session/fit_files.h"
#include "app/session/run_view.h"
#include "app/window/print_sheet.h"

#include <QByteArray>
#include <QString>
#include <QWidget>

#include <memory>
#include <optional>
#include <vector>

namespace potwatch::window {

// The page Analyse: chart, findings with intervals, how each was computed, warnings, the pot form, annotations,
// outcome, export and copy. Shows a run and asks for changes of its notes; whoever owns the run keeps them, undoes them
// and analyses anew.
class AnalysePage : public QWidget {
    Q_OBJECT

public:
    explicit AnalysePage(QWidget* parent = nullptr);
    ~AnalysePage() override;

    // The same id again keeps the view, the tool and what is being typed; null shows the empty state.
    void setRun(std::shared_ptr<const session::RunView> run);
    // While findings are being computed: the old ones stay, and are seen to be old. Progress in [0, 1].
    void setBusy(bool busy, double fraction = 0.0);
    // Between the chart and what the data can tell.
    void turnData();
    // The runs that a fit could take, and what came of one that was wanted.
    void setFitCandidates(std::vector<session::FitCandidate> candidates);
    void setFitProgress(double fraction, const QString& doing);
    void setFitted(std::shared_ptr<const session::FittedFiles> fitted);
    void setFitFaults(const std::vector<Fault>& faults);
    void forgetFit();
    [[nodiscard]] bool showsData() const;
    [[nodiscard]] std::optional<Sheet> dataSheet() const; // of the fit that is shown
    // The answer to photoNeeded: the bytes of a photo of this run, for its thumbnail.
    void setPhoto(const QString& name, const QByteArray& bytes);

Q_SIGNALS:
    // The whole of the notes after the change, and what the change is in a few words for the undo menu.
    void notesEdited(const potwatch::book::Notes& notes, const QString& what);
    void photoAdded(const QString& file);
    void photoNeeded(const QString& name); // its bytes, by setPhoto
    void photoWanted(const QString& name); // to be shown large
    void photoRemoved(const QString& name);
    void fitWanted(const std::vector<potwatch::book::RunId>& ids, const potwatch::session::FitFilesOptions& options);
    void fitStopWanted();
    void reportWanted();               // of this run, as a file
    void printWanted();                // the report of this run, or what the data can tell
    void message(const QString& text); // for the status line: "exported to rod-03.svg"

private:
    struct Parts;
    std::unique_ptr<Parts> parts_;
};

} // namespace potwatch::window
