// SPDX-License-Identifier: GPL-3.0-or-later
// What is learnt once and counts in every run: how far the probes are off, and what the pot is. The dialogs leave the
// window free: a pot may be recorded meanwhile.
#include "app/window/calibrate/calibrate_dialog.h"
#include "app/window/calibrate/know_pot_dialog.h"
#include "app/window/main_window.h"
#include "app/window/record/record_page.h"

#include <utility>

namespace potwatch::window {
namespace {

template<class Dialog>
bool isThere(const QWidget& window) {
    auto* const dialog = window.findChild<Dialog*>();
    if (dialog != nullptr) {
        dialog->raise();
        dialog->activateWindow();
    }
    return dialog != nullptr;
}

ChosenBook chosen(const OpenBook& book) {
    return {.path = book.path(), .runs = book.runs(), .shown = book.shownId()};
}

template<class Dialog>
void showBeside(Dialog& dialog, const OpenBook& book) {
    dialog.setAttribute(Qt::WA_DeleteOnClose);
    QObject::connect(&book, &OpenBook::runsChanged, &dialog, [&dialog, &book] { dialog.setBook(chosen(book)); });
    dialog.show();
}

} // namespace

void MainWindow::calibrateProbes() {
    if (!isThere<CalibrateDialog>(*this)) {
        showBeside(*new CalibrateDialog(settings_.folder(), chosen(*book_), this), *book_);
    }
}

void MainWindow::knowPot() {
    if (isThere<KnowPotDialog>(*this)) {
        return;
    }
    auto* const dialog = new KnowPotDialog(chosen(*book_), this);
    connect(dialog, &KnowPotDialog::taken, this, [this](const book::RunId& id, const Batch& batch) {
        if (const session::ListedRun* const run = book_->run(id)) {
            book::Notes notes = run->row.notes;
            notes.batch = batch;
            book_->editNotes(id, notes, tr("what is known of the pot"));
            book_->show(id);
            goTo(analyse_page);
        }
    });
    connect(dialog, &KnowPotDialog::recordingWanted, this, [this](const Batch& batch) {
        activateWindow(); // the page's keys are there at once
        goTo(record_page);
        if (record_->isRecording()) {
            say(tr("A run is being recorded: stop it before the hot water"));
        } else {
            record_->setPot(batch, tr("hot water"));
        }
    });
    showBeside(*dialog, *book_);
}

void MainWindow::tellKnowPot(const book::RunId& recorded) {
    if (auto* const dialog = findChild<KnowPotDialog*>()) {
        dialog->choose(recorded);
        dialog->raise();
    }
}

} // namespace potwatch::window
