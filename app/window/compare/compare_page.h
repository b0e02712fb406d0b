// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/book_list.h"
#include "app/session/news.h"
#include "app/window/print_sheet.h"
#include "app/window/settings.h"

#include <QByteArray>
#include <QString>
#include <QWidget>

#include <cstddef>
#include <memory>
#include <optional>
#include <vector>

namespace potwatch::window {

class CompareDesk;

// The page Compare: the traces of the runs laid over each other, the scatter with its trend, and the table beside; and,
// in their place, what changed from run to run. One run at a time is lit up in all of them. It shows runs that are
// analysed; whoever owns the book gives them.
class ComparePage : public QWidget {
    Q_OBJECT

public:
    explicit ComparePage(QWidget* parent = nullptr);
    ~ComparePage() override;

    [[nodiscard]] CompareDesk& desk();

    // All runs of the book, for the lineage; `listed` of them stand in the book's list as it is filtered.
    void setBook(const std::vector<session::ListedRun>& runs, std::size_t listed);
    // Those of the list, as far as they are analysed.
    void setRuns(std::shared_ptr<const std::vector<session::RunToCompare>> runs, std::size_t left);
    void setLit(const book::RunId& id); // the run that is chosen in the book's list
    void setPhoto(const book::RunId& id, const QString& name, const QByteArray& bytes);
    void forget(); // the book is another one

    void showLineage(bool shown);
    [[nodiscard]] std::optional<Sheet> sheet() const; // what is shown; nothing where there is nothing to print

    void restore(const Settings& settings);
    void save(Settings& settings) const;

Q_SIGNALS:
    void runWanted(const potwatch::book::RunId& id); // to be analysed
    void stopWanted();                               // no more runs are to be analysed
    void photoNeeded(const potwatch::book::RunId& id, const QString& name);
    void photoWanted(const potwatch::book::RunId& id, const QString& name);
    void printWanted();
    void message(const QString& text);

private:
    struct Parts;
    std::unique_ptr<Parts> parts_;
};

} // namespace potwatch::window
