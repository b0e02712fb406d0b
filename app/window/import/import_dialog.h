// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/library.h"
#include "app/session/preview.h"

#include <QDialog>
#include <QStringList>

#include <cstdint>
#include <memory>
#include <vector>

class QComboBox;
class QDialogButtonBox;
class QLabel;
class QLineEdit;
class QListWidget;
class QProgressBar;
class QPushButton;
class QTableWidget;
class QTabWidget;

namespace potwatch::window {

class LibraryLink;

// Shows what the importer makes of each file before anything is kept, with the settings that it can be told.
class ImportDialog : public QDialog {
    Q_OBJECT

public:
    ImportDialog(LibraryLink& link, const QStringList& files, QWidget* parent = nullptr);
    ~ImportDialog() override;

    // The files that can be imported, with their settings.
    [[nodiscard]] std::vector<session::FileToOpen> wanted() const;

private:
    struct File {
        std::string path;
        std::shared_ptr<const session::Preview> preview; // null = not yet read, or read under other settings
    };

    void buildSettings();
    [[nodiscard]] session::OpenOptions options() const;
    void settingsChanged();
    void readNext();
    void previewReady(const session::PreviewReady& news);
    void showFile();
    void showPreview(const session::Preview& preview);
    void fillChoices(const session::Preview& preview);
    void showState();

    LibraryLink& link_;
    std::vector<File> files_;
    std::uint64_t ticket_ = 0;
    int reading_ = -1;
    bool filling_ = false;

    QListWidget* list_ = nullptr;
    QWidget* settings_ = nullptr;
    QComboBox* unit_ = nullptr;
    QComboBox* date_order_ = nullptr;
    QComboBox* time_ = nullptr;
    QComboBox* pot_ = nullptr;
    QComboBox* thermocouple_ = nullptr;
    QLineEdit* cold_junction_ = nullptr;
    QLineEdit* interval_ = nullptr;
    QLabel* faults_ = nullptr;
    QLabel* summary_ = nullptr;
    QTabWidget* tabs_ = nullptr;
    QTableWidget* columns_ = nullptr;
    QTableWidget* rows_ = nullptr;
    QTableWidget* lines_ = nullptr;
    QProgressBar* progress_ = nullptr;
    QPushButton* import_ = nullptr;
};

// The remedy of an import fault, in words for this dialog's controls instead of the command line's options.
[[nodiscard]] QString inDialogWords(QString remedy);

} // namespace potwatch::window
