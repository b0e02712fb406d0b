// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/analyse/outcome_panel.h"

#include "app/window/pot_form/field_grid.h"

#include <QDragEnterEvent>
#include <QDropEvent>
#include <QFileDialog>
#include <QHBoxLayout>
#include <QKeyEvent>
#include <QLabel>
#include <QListWidget>
#include <QMimeData>
#include <QPainter>
#include <QPushButton>
#include <QScrollArea>
#include <QUrl>
#include <QVBoxLayout>

#include <algorithm>

namespace potwatch::window {
namespace {

bool isPicture(const QString& file) {
    const QString ending = file.section(QLatin1Char('.'), -1).toLower();
    return QStringList{QStringLiteral("jpg"), QStringLiteral("jpeg"), QStringLiteral("png"), QStringLiteral("webp"),
                       QStringLiteral("bmp"), QStringLiteral("gif"),  QStringLiteral("tif"), QStringLiteral("tiff")}
        .contains(ending);
}

QStringList picturesOf(const QMimeData& data) {
    QStringList files;
    for (const QUrl& url : data.urls()) {
        if (url.isLocalFile() && isPicture(url.toLocalFile())) {
            files.push_back(url.toLocalFile());
        }
    }
    return files;
}

// A thumbnail all of one size, so that names stand in line.
QPixmap thumbnail(const QPixmap& picture, int side) {
    QPixmap all(side, side);
    all.fill(Qt::transparent);
    if (picture.isNull()) {
        return all; // not there yet
    }
    const QPixmap small = picture.scaled(side, side, Qt::KeepAspectRatio, Qt::SmoothTransformation);
    QPainter painter(&all);
    painter.drawPixmap((side - small.width()) / 2, (side - small.height()) / 2, small);
    return all;
}

} // namespace

OutcomePanel::OutcomePanel(AnalyseModel& page, QWidget* parent)
    : QWidget(parent)
    , page_(page)
    , grid_(new FieldGrid(page.form()))
    , weighed_(new QLabel(this))
    , take_weighed_(new QPushButton(tr("Take this density"), this))
    , photos_(new QListWidget(this))
    , no_photo_(new QLabel(tr("No photo of the piece yet. Add one, or drop it here."), this))
    , remove_(new QPushButton(tr("Take out"), this)) {
    setAcceptDrops(true);
    const int gap = fontMetrics().averageCharWidth();
    auto* const column = new QVBoxLayout(this);
    column->setContentsMargins(gap, gap, gap, gap);
    column->setSpacing(gap);
    grid_->addGroupWithoutHeading(FieldGroup::outcome);
    column->addWidget(grid_);
    weighed_->setObjectName(QStringLiteral("weighed density"));
    weighed_->setWordWrap(true);
    weighed_->setTextInteractionFlags(Qt::TextSelectableByMouse);
    column->addWidget(weighed_);
    take_weighed_->setObjectName(QStringLiteral("take density"));
    column->addWidget(take_weighed_, 0, Qt::AlignLeft);

    QFont bold = font();
    bold.setBold(true);
    auto* const title = new QLabel(tr("Photos of the piece"), this);
    title->setFont(bold);
    column->addWidget(title);
    photos_->setObjectName(QStringLiteral("photos"));
    photos_->setAccessibleName(tr("Photos of the piece"));
    photos_->setViewMode(QListView::IconMode);
    photos_->setMovement(QListView::Static);
    photos_->setResizeMode(QListView::Adjust);
    photos_->setIconSize(QSize(14 * gap, 14 * gap));
    photos_->setSpacing(gap / 2);
    photos_->setFrameShape(QFrame::NoFrame);
    photos_->viewport()->setAutoFillBackground(false);
    photos_->installEventFilter(this);
    column->addWidget(photos_, 1);
    no_photo_->setWordWrap(true);
    no_photo_->setAlignment(Qt::AlignTop | Qt::AlignLeft);
    column->addWidget(no_photo_, 1);
    auto* const buttons = new QHBoxLayout;
    remove_->setObjectName(QStringLiteral("remove photo"));
    remove_->setToolTip(tr("Take the chosen photo out (Del)"));
    buttons->addWidget(remove_);
    buttons->addStretch();
    auto* const add = new QPushButton(tr("Add photo..."), this);
    add->setObjectName(QStringLiteral("add photo"));
    buttons->addWidget(add);
    column->addLayout(buttons);

    connect(add, &QPushButton::clicked, this, &OutcomePanel::choosePhotos);
    connect(remove_, &QPushButton::clicked, this, &OutcomePanel::removePhoto);
    connect(photos_, &QListWidget::itemActivated, this,
            [this](const QListWidgetItem* item) { Q_EMIT photoWanted(item->text()); });
    connect(photos_, &QListWidget::currentRowChanged, this, [this](int row) { remove_->setEnabled(row >= 0); });
    connect(take_weighed_, &QPushButton::clicked, &page_.form(), &PotFormModel::takeWeighedDensity);
    connect(&page_, &AnalyseModel::changed, this, &OutcomePanel::refresh);
    connect(&page_.form(), &PotFormModel::changed, this, &OutcomePanel::refresh);
    refresh();
}

void OutcomePanel::refresh() {
    setEnabled(page_.run() != nullptr);
    const QString weighed = page_.form().weighedDensity();
    weighed_->setText(weighed);
    weighed_->setVisible(!weighed.isEmpty());
    take_weighed_->setVisible(page_.form().canTakeWeighedDensity());
    QStringList names;
    if (page_.run()) {
        for (const std::string& name : page_.run()->photos) {
            names.push_back(QString::fromStdString(name));
        }
    }
    for (int row = photos_->count() - 1; row >= 0; --row) {
        if (!names.contains(photos_->item(row)->text())) {
            pictures_.erase(photos_->item(row)->text());
            delete photos_->takeItem(row);
        }
    }
    for (const QString& name : names) {
        if (photos_->findItems(name, Qt::MatchExactly).isEmpty()) {
            photos_->addItem(new QListWidgetItem(QIcon(thumbnail(QPixmap(), photos_->iconSize().width())), name));
        }
    }
    photos_->setVisible(!names.isEmpty());
    no_photo_->setVisible(names.isEmpty());
    remove_->setVisible(!names.isEmpty());
    remove_->setEnabled(photos_->currentRow() >= 0);
}

void OutcomePanel::setPicture(const QString& name, const QPixmap& picture) {
    for (QListWidgetItem* const item : photos_->findItems(name, Qt::MatchExactly)) {
        item->setIcon(QIcon(thumbnail(picture, photos_->iconSize().width())));
        pictures_.insert(name);
    }
}

void OutcomePanel::forgetPictures() {
    pictures_.clear();
    for (int row = 0; row < photos_->count(); ++row) {
        photos_->item(row)->setIcon(QIcon(thumbnail(QPixmap(), photos_->iconSize().width())));
    }
}

bool OutcomePanel::hasPicture(const QString& name) const {
    return pictures_.count(name) > 0;
}

bool OutcomePanel::goTo(const std::string& place) {
    return grid_->goTo(place);
}

void OutcomePanel::choosePhotos() {
    const QStringList files =
        QFileDialog::getOpenFileNames(this, tr("Photos of the piece"), QString(),
                                      tr("Pictures (*.jpg *.jpeg *.png *.webp *.bmp *.gif *.tif *.tiff)"));
    for (const QString& file : files) {
        Q_EMIT photoAdded(file);
    }
}

void OutcomePanel::removePhoto() {
    if (const QListWidgetItem* const item = photos_->currentItem()) {
        Q_EMIT photoRemoved(item->text());
    }
}

void OutcomePanel::dragEnterEvent(QDragEnterEvent* event) {
    if (page_.run() && !picturesOf(*event->mimeData()).isEmpty()) {
        event->acceptProposedAction();
    }
}

void OutcomePanel::dropEvent(QDropEvent* event) {
    for (const QString& file : picturesOf(*event->mimeData())) {
        Q_EMIT photoAdded(file);
    }
    event->acceptProposedAction();
}

bool OutcomePanel::eventFilter(QObject* watched, QEvent* event) {
    if (watched == photos_ && event->type() == QEvent::KeyPress &&
        static_cast<QKeyEvent*>(event)->key() == Qt::Key_Delete) {
        removePhoto();
        return true;
    }
    return QWidget::eventFilter(watched, event);
}

} // namespace potwatch::window
