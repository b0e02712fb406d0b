// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/pot_form/pot_form.h"

#include "app/window/pot_form/batch_tables.h"
#include "app/window/pot_form/field_grid.h"
#include "app/window/pot_form/ladder_view.h"

#include <QFileDialog>
#include <QFrame>
#include <QHBoxLayout>
#include <QLabel>
#include <QMenu>
#include <QPushButton>
#include <QScrollArea>
#include <QToolButton>
#include <QVBoxLayout>

#include <algorithm>

namespace potwatch::window {
namespace {

constexpr std::size_t most_faults_shown = 8;

QString faultsText(const std::vector<Fault>& faults) {
    QStringList lines;
    for (std::size_t i = 0; i < std::min(faults.size(), most_faults_shown); ++i) {
        lines.push_back(QString::fromStdString(describe(faults[i])));
    }
    if (faults.size() > most_faults_shown) {
        lines.push_back(PotForm::tr("... and %n more", nullptr, static_cast<int>(faults.size() - most_faults_shown)));
    }
    return lines.join(QLatin1Char('\n'));
}

} // namespace

PotForm::PotForm(PotFormModel& form, QWidget* parent)
    : QWidget(parent)
    , form_(form)
    , scroll_(new QScrollArea(this))
    , grid_(new FieldGrid(form))
    , ladder_(new LadderView)
    , same_(new QPushButton(tr("Same as last run"), this))
    , faults_(new QLabel(this))
    , hint_(new QLabel(this)) {
    const int gap = fontMetrics().averageCharWidth();
    auto* const column = new QVBoxLayout(this);
    column->setContentsMargins(gap, gap, 0, gap);
    column->setSpacing(gap);

    auto* const head = new QHBoxLayout;
    same_->setObjectName(QStringLiteral("same as last run"));
    head->addWidget(same_);
    head->addStretch();
    auto* const file = new QToolButton(this);
    file->setText(tr("Batch file..."));
    file->setObjectName(QStringLiteral("batch file"));
    file->setAccessibleName(tr("Batch file: import or export"));
    file->setAutoRaise(true);
    auto* const menu = new QMenu(file);
    menu->addAction(tr("Import TOML..."), this, &PotForm::importToml)->setObjectName(QStringLiteral("import toml"));
    menu->addAction(tr("Export TOML..."), this, &PotForm::exportToml)->setObjectName(QStringLiteral("export toml"));
    connect(file, &QToolButton::clicked, menu,
            [file, menu] { menu->popup(file->mapToGlobal(QPoint(0, file->height()))); });
    head->addWidget(file);
    column->addLayout(head);

    faults_->setObjectName(QStringLiteral("import faults"));
    faults_->setWordWrap(true);
    faults_->setTextInteractionFlags(Qt::TextSelectableByMouse);
    column->addWidget(faults_);

    auto* const content = new QWidget;
    auto* const inner = new QVBoxLayout(content);
    inner->setContentsMargins(0, 0, gap, 0);
    inner->setSpacing(gap);
    inner->addWidget(ladder_);
    inner->addWidget(grid_);
    inner->addStretch();
    scroll_->setWidget(content);
    scroll_->setWidgetResizable(true);
    scroll_->setFrameShape(QFrame::NoFrame);
    scroll_->setHorizontalScrollBarPolicy(Qt::ScrollBarAlwaysOff);
    scroll_->setObjectName(QStringLiteral("pot form scroll"));
    scroll_->setFocusPolicy(Qt::NoFocus);
    column->addWidget(scroll_, 1);

    hint_->setObjectName(QStringLiteral("form hint"));
    hint_->setWordWrap(true);
    hint_->setAlignment(Qt::AlignTop | Qt::AlignLeft);
    hint_->setMinimumHeight(2 * fontMetrics().lineSpacing());
    column->addWidget(hint_);

    grid_->addGroup(FieldGroup::charge);
    grid_->addTable(FieldGroup::charge, *new IngredientTable(form, this), tr("Made of"));
    grid_->addGroup(FieldGroup::vessel);
    grid_->addGroup(FieldGroup::surroundings);
    grid_->addGroup(FieldGroup::dose);
    grid_->addTable(FieldGroup::dose, *new DoseStepTable(form, this), tr("Steps by hand"));
    grid_->addGroup(FieldGroup::heater, true);
    grid_->addGroup(FieldGroup::reference);
    grid_->addGroup(FieldGroup::weighed);
    grid_->addGroup(FieldGroup::sensor);
    grid_->addTable(FieldGroup::sensor, *new ProbeTable(form, this), tr("Probes"));
    grid_->addGroup(FieldGroup::uncertainty, true);
    grid_->addGroup(FieldGroup::notes);

    connect(same_, &QPushButton::clicked, &form_, &PotFormModel::takePrevious);
    connect(grid_, &FieldGrid::hinted, hint_, &QLabel::setText);
    connect(grid_, &FieldGrid::cameIntoView, this, &PotForm::bringIntoView);
    connect(ladder_, &LadderView::fieldWanted, this, [this](const QString& place) { goTo(place.toStdString()); });
    connect(&form_, &PotFormModel::changed, this, &PotForm::refresh);
    refresh();
}

PotForm::~PotForm() {
    // A field that loses the focus as it goes would still hand in what stands in it, to a form half gone.
    for (QObject* const child : findChildren<QObject*>()) {
        child->blockSignals(true);
    }
}

void PotForm::refresh() {
    setEnabled(form_.hasRun());
    ladder_->setRungs(form_.hasRun() ? form_.ladder() : std::vector<session::Rung>{});
    same_->setEnabled(form_.canTakePrevious());
    const QString name = form_.previousName();
    same_->setToolTip(name.isEmpty() ? tr("Fills the form from the run before; name, start, events and outcome stay")
                                     : tr("Fills the form from %1; name, start, events and outcome stay").arg(name));
    faults_->setText(faultsText(form_.importFaults()));
    faults_->setVisible(!form_.importFaults().empty());
}

void PotForm::bringIntoView(QWidget* widget) {
    scroll_->ensureWidgetVisible(widget, 0, 3 * fontMetrics().height());
}

bool PotForm::goTo(const std::string& place) {
    return grid_->goTo(place);
}

void PotForm::importToml() {
    const QString file = QFileDialog::getOpenFileName(this, tr("Import a batch file"), QString(),
                                                      tr("Batch files (*.toml);;All files (*)"));
    if (!file.isEmpty()) {
        form_.importToml(file);
    }
}

void PotForm::exportToml() {
    const QString name = QString::fromStdString(form_.batch().name.empty() ? "run" : form_.batch().name);
    const QString file = QFileDialog::getSaveFileName(this, tr("Export as a batch file"),
                                                      name + QStringLiteral(".batch.toml"), tr("Batch files (*.toml)"));
    if (!file.isEmpty()) {
        form_.exportToml(file);
    }
}

} // namespace potwatch::window
