// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/window/analyse/analyse_model.h"

#include <QWidget>

#include <set>

class QLabel;
class QListWidget;
class QPushButton;

namespace potwatch::window {

class FieldGrid;

// How the piece came out: density, voids, foam, solvent, hardness, photos.
class OutcomePanel : public QWidget {
    Q_OBJECT

public:
    explicit OutcomePanel(AnalyseModel& page, QWidget* parent = nullptr);

    bool goTo(const std::string& place);
    void forgetPictures(); // another run's have the same names
    [[nodiscard]] bool hasPicture(const QString& name) const;
    void setPicture(const QString& name, const QPixmap& picture);

Q_SIGNALS:
    void photoAdded(const QString& file);
    void photoWanted(const QString& name);
    void photoRemoved(const QString& name);

protected:
    void dragEnterEvent(QDragEnterEvent* event) override;
    void dropEvent(QDropEvent* event) override;
    bool eventFilter(QObject* watched, QEvent* event) override;

private:
    void refresh();
    void choosePhotos();
    void removePhoto();

    AnalyseModel& page_;
    FieldGrid* grid_;
    QLabel* weighed_;
    QPushButton* take_weighed_;
    QListWidget* photos_;
    std::set<QString> pictures_; // names whose thumbnails are there
    QLabel* no_photo_;
    QPushButton* remove_;
};

} // namespace potwatch::window
