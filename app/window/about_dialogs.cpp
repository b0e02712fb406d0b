// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/about_dialogs.h"

#include "app/window/look.h"

#include <QAction>
#include <QDialogButtonBox>
#include <QGridLayout>
#include <QLabel>
#include <QMenu>
#include <QMenuBar>
#include <QPushButton>
#include <QScrollArea>
#include <QVBoxLayout>

namespace potwatch::window {
namespace {

using namespace Qt::StringLiterals;

QLabel* words(const QString& text, QWidget* parent) {
    auto* const label = new QLabel(text, parent);
    label->setTextFormat(Qt::PlainText);
    label->setWordWrap(true);
    label->setTextInteractionFlags(Qt::TextSelectableByMouse | Qt::TextSelectableByKeyboard);
    return label;
}

QLabel* heading(const QString& text, QWidget* parent) {
    auto* const label = new QLabel(text, parent);
    QFont font = label->font();
    font.setWeight(QFont::DemiBold);
    label->setFont(font);
    return label;
}

// The content in a scroll area, with a button to close below.
void frame(QDialog& dialog, QWidget* content, QSize size) {
    auto* const scroll = new QScrollArea(&dialog);
    scroll->setWidgetResizable(true);
    scroll->setFrameShape(QFrame::NoFrame);
    scroll->setWidget(content);
    auto* const buttons = new QDialogButtonBox(QDialogButtonBox::Close, &dialog);
    buttons->button(QDialogButtonBox::Close)->setIcon({});
    QObject::connect(buttons, &QDialogButtonBox::rejected, &dialog, &QDialog::reject);
    auto* const column = new QVBoxLayout(&dialog);
    column->addWidget(scroll, 1);
    column->addWidget(buttons);
    dialog.resize(size);
}

QString plain(QString words) {
    return words.remove(u'&').remove(u"..."_s);
}

void addKeys(QGridLayout& grid, const QString& what, const QString& keys, QWidget* parent) {
    const int row = grid.rowCount();
    grid.addWidget(words(what, parent), row, 0);
    auto* const label = new QLabel(keys, parent);
    label->setTextFormat(Qt::PlainText);
    grid.addWidget(label, row, 1);
}

void addMenu(QGridLayout& grid, const QMenu& menu, QWidget* parent) {
    for (const QAction* const action : menu.actions()) {
        if (action->menu() == nullptr && !action->shortcut().isEmpty()) {
            QStringList keys;
            for (const QKeySequence& one : action->shortcuts()) {
                keys += one.toString(QKeySequence::NativeText);
            }
            addKeys(grid, plain(action->text()), keys.join(u", "_s), parent);
        }
    }
}

} // namespace

ShortcutsDialog::ShortcutsDialog(const QMenuBar& menus, QWidget* parent)
    : QDialog(parent) {
    setObjectName(u"shortcutsDialog"_s);
    setWindowTitle(tr("Keyboard shortcuts"));
    auto* const content = new QWidget(this);
    auto* const grid = new QGridLayout(content);
    const int line = fontMetrics().height();
    grid->setHorizontalSpacing(line * 2);
    grid->setVerticalSpacing(line / 3);
    grid->setColumnStretch(0, 1);
    for (const QAction* const top : menus.actions()) {
        if (top->menu() != nullptr) {
            grid->addWidget(heading(plain(top->text()), content), grid->rowCount(), 0);
            addMenu(*grid, *top->menu(), content);
        }
    }
    grid->addWidget(heading(tr("Pages and panes"), content), grid->rowCount(), 0);
    Qt::Key number = Qt::Key_1; // as they stand in the rail
    for (const QString& page : {tr("Record"), tr("Analyse"), tr("Compare"), tr("Report")}) {
        addKeys(*grid, page, QKeySequence(Qt::CTRL | number).toString(QKeySequence::NativeText), content);
        number = static_cast<Qt::Key>(number + 1);
    }
    addKeys(*grid, tr("From the list into the page"), QKeySequence(Qt::Key_Return).toString(QKeySequence::NativeText),
            content);
    addKeys(*grid, tr("From the search to the list"), QKeySequence(Qt::Key_Down).toString(QKeySequence::NativeText),
            content);
    frame(*this, content, QSize(line * 28, line * 34));
}

SafetyDialog::SafetyDialog(QWidget* parent)
    : QDialog(parent) {
    setObjectName(u"safetyDialog"_s);
    setWindowTitle(tr("Safety"));
    auto* const content = new QWidget(this);
    auto* const column = new QVBoxLayout(content);
    const int line = fontMetrics().height();
    column->setSpacing(line * 2 / 3);
    column->addWidget(heading(tr("Potwatch is no safety device"), content));
    const QStringList cautions{
        tr("Its warnings can come too late or not at all, and its figures are no limit that it is safe to go up to. Your "
           "eyes, your distance and your plan for a pot that runs away come first."),
        tr("Phenol burns, and is absorbed through the skin; it numbs, so a burn may not be felt at first."),
        tr("Formaldehyde is a carcinogen. So, to humans, is bis(chloromethyl) ether, which hydrochloric acid and "
           "formaldehyde can form: keep them apart."),
        tr("A hot mould that is closed is a pressure vessel. Water in resin boils at about 100 °C, and lower where the "
           "air is thin."),
        tr("Work in a fume hood, with gloves and a shield, on small batches, with the means to quench at hand. A pot "
           "twice as wide loses its heat half as well for its mass: what was harmless in 50 g can run away in 500 g."),
        tr("Local codes and the judgement of licensed people decide what you may do, not this program.")};
    for (const QString& caution : cautions) {
        column->addWidget(words(caution, content));
    }
    column->addStretch(1);
    frame(*this, content, QSize(line * 34, line * 26));
}

AboutDialog::AboutDialog(QWidget* parent)
    : QDialog(parent) {
    setObjectName(u"aboutDialog"_s);
    setWindowTitle(tr("About Potwatch"));
    auto* const content = new QWidget(this);
    auto* const column = new QVBoxLayout(content);
    const int line = fontMetrics().height();
    column->setSpacing(line * 2 / 3);
    column->addWidget(heading(u"Potwatch " POTWATCH_VERSION ""_s, content));
    column->addWidget(words(tr("Turns the recorded temperatures of a curing resin into onset, peak, heat and degree of "
                               "cure, each with its uncertainty. It is no safety device."),
                            content));
    column->addWidget(words(tr("Free software under the GNU General Public License, version 3 or later. There is no "
                               "warranty, to the extent that the law permits."),
                            content));
    column->addStretch(1);
    frame(*this, content, QSize(line * 28, line * 14));
}

} // namespace potwatch::window
