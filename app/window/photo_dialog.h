// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QByteArray>
#include <QDialog>
#include <QPixmap>

namespace potwatch::window {

// A photo of the piece, as large as the dialog is.
class PhotoDialog : public QDialog {
    Q_OBJECT

public:
    PhotoDialog(const QString& name, const QByteArray& bytes, QWidget* parent = nullptr);

protected:
    void paintEvent(QPaintEvent* event) override;

private:
    QPixmap photo_;
};

} // namespace potwatch::window
