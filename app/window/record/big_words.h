// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QLabel>

namespace potwatch::window {

// Words as large as two lines of their width let them be, to be read from two metres away; words that need more room
// are written smaller.
class BigWords : public QLabel {
    Q_OBJECT

public:
    enum class Height {
        twoLines, // follows from the width alone, so that nothing below moves when the words change
        words     // no more than they need
    };
    BigWords(Height height, QWidget* parent);

    void say(const QString& words);

protected:
    void resizeEvent(QResizeEvent* event) override;

private:
    void fit();

    Height height_;
};

} // namespace potwatch::window
