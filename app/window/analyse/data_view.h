// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/fit_candidates.h"
#include "app/session/fit_files.h"
#include "app/window/analyse/exporter.h"
#include "app/window/print_sheet.h"

#include <QString>
#include <QWidget>

#include <memory>
#include <optional>
#include <vector>

class QCheckBox;
class QComboBox;
class QDoubleSpinBox;
class QLabel;
class QListWidget;
class QProgressBar;
class QPushButton;
class QTextBrowser;
class QVBoxLayout;

namespace potwatch::window {

class FitPictureView;

// What the data can tell: the kinetics of several runs of the book. On the left the runs, the law and the start of a
// fit, on the right its picture and all that it says. It asks for a fit; whoever owns the runs makes it elsewhere and
// gives progress and answer.
class DataView : public QWidget {
    Q_OBJECT

public:
    explicit DataView(QWidget* parent = nullptr);

    // Runs that were there before stay chosen or not as the person left them; where one of a fit that is shown has
    // changed, the fit is seen to be old.
    void setCandidates(std::vector<session::FitCandidate> candidates);

    void setProgress(double fraction, const QString& doing);
    void setFitted(std::shared_ptr<const session::FittedFiles> fitted);
    void setFaults(const std::vector<Fault>& faults);
    void forget(); // the runs are another book's: no fit, and none is being made
    void focusFirst();
    [[nodiscard]] std::optional<Sheet> sheet() const; // the fit as it is printed; nothing where there is none

Q_SIGNALS:
    void fitWanted(const std::vector<potwatch::book::RunId>& ids, const potwatch::session::FitFilesOptions& options);
    void stopWanted();
    void message(const QString& text);

private:
    void buildWish(QVBoxLayout* column);
    void buildTake(QVBoxLayout* column);
    void start();
    void stop();
    void showBusy(bool busy);
    void showState();
    void saveKinetics();
    void savePicture();
    void copyAll();
    [[nodiscard]] std::vector<session::FitCandidate> chosen() const;

    std::vector<session::FitCandidate> candidates_; // as they stand in the list
    std::vector<session::FitCandidate> asked_;      // of the fit that is shown or being made
    std::shared_ptr<const session::FittedFiles> fitted_;
    bool busy_ = false;
    Exporter exporter_;

    QListWidget* runs_;
    QComboBox* law_;
    QCheckBox* order_;
    QDoubleSpinBox* reference_;
    QPushButton* start_;
    QWidget* working_;
    QLabel* doing_;
    QProgressBar* progress_;
    QPushButton* stop_ = nullptr;
    QPushButton* save_ = nullptr;
    QPushButton* picture_file_ = nullptr;
    QPushButton* copy_ = nullptr;
    QLabel* old_;
    FitPictureView* picture_;
    QTextBrowser* text_;
};

} // namespace potwatch::window
