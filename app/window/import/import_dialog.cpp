// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/import/import_dialog.h"

#include "app/format/number.h"
#include "app/format/text.h"
#include "app/format/wall_time.h"
#include "app/window/import/preview_tables.h"
#include "app/window/library_link.h"
#include "app/window/notice_bar.h"

#include <QComboBox>
#include <QDialogButtonBox>
#include <QFormLayout>
#include <QHBoxLayout>
#include <QLabel>
#include <QLineEdit>
#include <QListWidget>
#include <QProgressBar>
#include <QPushButton>
#include <QTabWidget>
#include <QTableWidget>
#include <QVBoxLayout>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <utility>

namespace potwatch::window {
namespace {

using namespace Qt::StringLiterals;

QString text(const std::string& utf8) {
    return QString::fromStdString(utf8);
}

QComboBox* choice(const QString& name, const QString& label, QFormLayout& form, QWidget* parent) {
    auto* const box = new QComboBox(parent);
    box->setObjectName(name);
    box->setAccessibleName(label);
    box->setSizeAdjustPolicy(QComboBox::AdjustToMinimumContentsLengthWithIcon);
    box->setMinimumContentsLength(12);
    auto* const words = new QLabel(label, parent);
    words->setBuddy(box);
    form.addRow(words, box);
    return box;
}

QLineEdit* field(const QString& name, const QString& label, const QString& hint, QFormLayout& form, QWidget* parent) {
    auto* const line = new QLineEdit(parent);
    line->setObjectName(name);
    line->setAccessibleName(label);
    line->setPlaceholderText(hint);
    auto* const words = new QLabel(label, parent);
    words->setBuddy(line);
    form.addRow(words, line);
    return line;
}

// Keeps the choice where it is still offered.
void refill(QComboBox* box, const QString& automatic, const QStringList& names) {
    const QString chosen = box->currentData().toString();
    box->clear();
    box->addItem(automatic, QString());
    for (const QString& name : names) {
        box->addItem(name, name);
    }
    box->setCurrentIndex(std::max(0, box->findData(chosen)));
}

QString faultsText(const std::vector<Fault>& faults) {
    QStringList lines;
    for (const Fault& fault : faults) {
        const QString remedy = inDialogWords(remedyText(fault));
        lines += remedy.isEmpty() ? whatText(fault) + u'.' : whatText(fault) + u"; "_s + remedy + u'.';
    }
    return lines.join(u'\n');
}

QString summaryText(const session::Preview& shown) {
    const csv::Table& table = shown.table;
    QStringList parts;
    parts += ImportDialog::tr("%1, %2 between columns, decimal %3")
                 .arg(text(table.encoding), text(table.delimiter), text(table.decimal));
    QString clock = ImportDialog::tr("clock: %1").arg(text(table.clock));
    if (table.started) {
        clock += ImportDialog::tr(", begun %1").arg(text(format::wallTimeText(*table.started)));
    }
    parts += clock;
    QString rows = ImportDialog::tr("%1 rows over %2")
                       .arg(text(format::countText(shown.rows_kept)), text(format::durationText(shown.span_s)));
    if (shown.interval_s) {
        rows += ImportDialog::tr(", one every %1 s").arg(text(format::numberText(*shown.interval_s)));
    }
    parts += rows;
    parts += shown.batch_file.empty()
                 ? ImportDialog::tr("no batch file beside it: what the pot held can be stated afterwards")
                 : ImportDialog::tr("batch file: %1").arg(text(format::fileNameOf(shown.batch_file)));
    for (const std::string& note : table.notes) {
        parts += inDialogWords(text(note));
    }
    return parts.join(u'\n');
}

} // namespace

QString inDialogWords(QString remedy) {
    constexpr std::array<std::pair<const char*, const char*>, 8> words{{{"--unit", "\"Unit\""},
                                                                        {"--date-order", "\"Dates\""},
                                                                        {"--time", "\"Time column\""},
                                                                        {"--interval", "\"Row interval\""},
                                                                        {"--thermocouple", "\"Thermocouple\""},
                                                                        {"--cold-junction", "\"Cold junction\""},
                                                                        {"--channel", "\"Pot\""},
                                                                        {"--columns", "the columns"}}};
    for (const auto& [option, control] : words) {
        remedy.replace(QString::fromLatin1(option), QString::fromLatin1(control));
    }
    return remedy;
}

ImportDialog::ImportDialog(LibraryLink& link, const QStringList& files, QWidget* parent)
    : QDialog(parent)
    , link_(link)
    , list_(new QListWidget(this))
    , settings_(new QWidget(this))
    , faults_(new QLabel(this))
    , summary_(new QLabel(this))
    , tabs_(new QTabWidget(this))
    , columns_(previewTable(u"importColumns"_s, tr("Columns"), this))
    , rows_(previewTable(u"importRows"_s, tr("First rows"), this))
    , lines_(previewTable(u"importLines"_s, tr("Lines to look at"), this))
    , progress_(new QProgressBar(this)) {
    setObjectName(u"importDialog"_s);
    setWindowTitle(files.size() == 1 ? tr("Import %1").arg(text(format::fileNameOf(files.front().toStdString())))
                                     : tr("Import %1 files").arg(files.size()));
    const int line = fontMetrics().height();
    for (const QString& file : files) {
        files_.push_back({.path = file.toStdString(), .preview = nullptr});
        list_->addItem(text(format::fileNameOf(file.toStdString())));
    }
    list_->setObjectName(u"importFiles"_s);
    list_->setAccessibleName(tr("Files"));
    list_->setVisible(files.size() > 1);
    list_->setMaximumHeight(line * 9);
    buildSettings();
    faults_->setObjectName(u"importFaults"_s);
    faults_->setWordWrap(true);
    faults_->setTextFormat(Qt::PlainText);
    faults_->setFrameShape(QFrame::StyledPanel);
    faults_->setMargin(line / 2);
    faults_->setTextInteractionFlags(Qt::TextSelectableByMouse | Qt::TextSelectableByKeyboard);
    faults_->hide();
    summary_->setObjectName(u"importSummary"_s);
    summary_->setWordWrap(true);
    summary_->setTextFormat(Qt::PlainText);
    summary_->setAlignment(Qt::AlignTop | Qt::AlignLeft);
    tabs_->setObjectName(u"importTabs"_s);
    tabs_->addTab(columns_, tr("&Columns"));
    tabs_->addTab(rows_, tr("First &rows"));
    tabs_->addTab(lines_, tr("&Lines to look at"));
    progress_->setObjectName(u"importProgress"_s);
    progress_->setRange(0, 1000);
    progress_->setTextVisible(false);
    progress_->setMaximumHeight(line / 2);

    auto* const side = new QVBoxLayout;
    side->setSpacing(line * 2 / 3);
    side->addWidget(list_);
    side->addWidget(settings_);
    side->addStretch(1);
    auto* const reading = new QVBoxLayout;
    reading->setSpacing(line / 2);
    reading->addWidget(faults_);
    reading->addWidget(summary_);
    reading->addWidget(tabs_, 1);
    auto* const middle = new QHBoxLayout;
    middle->setSpacing(line);
    middle->addLayout(side);
    middle->addLayout(reading, 1);
    auto* const buttons = new QDialogButtonBox(QDialogButtonBox::Cancel, this);
    import_ = buttons->addButton(files.size() == 1 ? tr("&Import") : tr("&Import %1 files").arg(files.size()),
                                 QDialogButtonBox::AcceptRole);
    import_->setObjectName(u"importAccept"_s);
    import_->setDefault(true);
    buttons->button(QDialogButtonBox::Cancel)->setObjectName(u"importCancel"_s);
    buttons->button(QDialogButtonBox::Cancel)->setIcon({});
    auto* const foot = new QHBoxLayout;
    foot->setSpacing(line);
    foot->addWidget(progress_, 1, Qt::AlignVCenter);
    foot->addWidget(buttons);
    auto* const column = new QVBoxLayout(this);
    column->setContentsMargins(line, line, line, line * 3 / 4);
    column->setSpacing(line);
    column->addLayout(middle, 1);
    column->addLayout(foot);
    resize(line * 52, line * 32);

    connect(buttons, &QDialogButtonBox::accepted, this, &QDialog::accept);
    connect(buttons, &QDialogButtonBox::rejected, this, &QDialog::reject);
    connect(list_, &QListWidget::currentRowChanged, this, &ImportDialog::showFile);
    connect(&link_, &LibraryLink::previewReady, this, &ImportDialog::previewReady);
    connect(&link_, &LibraryLink::working, this,
            [this](const session::Working& news) { progress_->setValue(static_cast<int>(1000.0 * news.fraction)); });
    list_->setCurrentRow(0);
    readNext();
}

ImportDialog::~ImportDialog() {
    if (reading_ >= 0) {
        link_.library().stopPreview();
    }
}

void ImportDialog::buildSettings() {
    auto* const form = new QFormLayout(settings_);
    form->setContentsMargins(0, 0, 0, 0);
    form->setFieldGrowthPolicy(QFormLayout::AllNonFixedFieldsGrow);
    unit_ = choice(u"importUnit"_s, tr("&Unit"), *form, settings_);
    unit_->addItem(tr("As the file says"), QString());
    for (const auto& [shown, value] : {std::pair(u"°C"_s, u"degC"_s), std::pair(u"°F"_s, u"degF"_s),
                                       std::pair(u"K"_s, u"K"_s), std::pair(u"mV"_s, u"mV"_s)}) {
        unit_->addItem(shown, value);
    }
    date_order_ = choice(u"importDates"_s, tr("&Dates"), *form, settings_);
    date_order_->addItem(tr("As found"), QString());
    date_order_->addItem(tr("Day first"), u"day"_s);
    date_order_->addItem(tr("Month first"), u"month"_s);
    time_ = choice(u"importTime"_s, tr("&Time column"), *form, settings_);
    interval_ = field(u"importInterval"_s, tr("Ro&w interval, s"), tr("from the clock"), *form, settings_);
    pot_ = choice(u"importPot"_s, tr("&Pot"), *form, settings_);
    thermocouple_ = choice(u"importThermocouple"_s, tr("T&hermocouple"), *form, settings_);
    thermocouple_->addItem(tr("None (no mV)"), QString());
    for (const char* const type : {"B", "E", "J", "K", "N", "R", "S", "T"}) {
        thermocouple_->addItem(tr("Type %1").arg(QString::fromLatin1(type)), QString::fromLatin1(type));
    }
    cold_junction_ = field(u"importColdJunction"_s, tr("Cold &junction"), tr("°C, or a column"), *form, settings_);
    refill(time_, tr("As found"), {});
    refill(pot_, tr("As found"), {});
    for (QComboBox* const box : {unit_, date_order_, time_, pot_, thermocouple_}) {
        connect(box, &QComboBox::currentIndexChanged, this, &ImportDialog::settingsChanged);
    }
    for (QLineEdit* const edit : {interval_, cold_junction_}) {
        connect(edit, &QLineEdit::editingFinished, this, &ImportDialog::settingsChanged);
    }
}

session::OpenOptions ImportDialog::options() const {
    session::OpenOptions options;
    options.import.unit = unit_->currentData().toString().toStdString();
    if (const QString order = date_order_->currentData().toString(); !order.isEmpty()) {
        options.import.date_order = order == u"day"_s ? csv::DateOrder::dayFirst : csv::DateOrder::monthFirst;
    }
    options.import.time_column = time_->currentData().toString().toStdString();
    const std::string interval = interval_->text().trimmed().replace(u',', u'.').toStdString();
    double seconds = 0.0;
    if (std::from_chars(interval.data(), interval.data() + interval.size(), seconds).ec == std::errc{} &&
        seconds > 0.0 && std::isfinite(seconds)) {
        options.import.interval_s = seconds;
    }
    options.channel = pot_->currentData().toString().toStdString();
    options.thermocouple = thermocouple_->currentData().toString().toStdString();
    options.cold_junction = cold_junction_->text().trimmed().toStdString();
    return options;
}

std::vector<session::FileToOpen> ImportDialog::wanted() const {
    std::vector<session::FileToOpen> wanted;
    for (const File& file : files_) {
        if (!file.preview || file.preview->faults.empty()) { // one that was not yet read tells its faults on import
            wanted.push_back({.file = file.path, .options = options()});
        }
    }
    return wanted;
}

void ImportDialog::settingsChanged() {
    if (filling_) {
        return;
    }
    for (File& file : files_) {
        file.preview.reset();
    }
    reading_ = -1;
    readNext();
}

void ImportDialog::readNext() {
    // The one that is looked at first, then the others.
    const int current = std::max(0, list_->currentRow());
    int next = files_[static_cast<std::size_t>(current)].preview ? -1 : current;
    for (std::size_t i = 0; next < 0 && i < files_.size(); ++i) {
        next = files_[i].preview ? -1 : static_cast<int>(i);
    }
    reading_ = next;
    if (next >= 0) {
        ++ticket_;
        progress_->setValue(0);
        link_.library().previewFile({.file = files_[static_cast<std::size_t>(next)].path, .options = options()},
                                    ticket_);
    }
    showState();
}

void ImportDialog::previewReady(const session::PreviewReady& news) {
    if (news.ticket != ticket_ || reading_ < 0) {
        return; // of older settings
    }
    files_[static_cast<std::size_t>(reading_)].preview = news.preview;
    QListWidgetItem* const item = list_->item(reading_);
    const QString name = text(format::fileNameOf(news.preview->file));
    item->setText(news.preview->faults.empty() ? name : tr("%1: cannot be read").arg(name));
    if (reading_ == list_->currentRow()) {
        showPreview(*news.preview);
    }
    readNext();
}

void ImportDialog::showFile() {
    const int row = list_->currentRow();
    if (row < 0) {
        return;
    }
    if (const auto& preview = files_[static_cast<std::size_t>(row)].preview) {
        showPreview(*preview);
    } else {
        faults_->hide();
        summary_->setText(tr("Reading..."));
        for (QTableWidget* const table : {columns_, rows_, lines_}) {
            table->setRowCount(0);
        }
    }
}

void ImportDialog::showPreview(const session::Preview& shown) {
    faults_->setVisible(!shown.faults.empty());
    faults_->setText(faultsText(shown.faults));
    faults_->setAccessibleName(faults_->text());
    summary_->setText(shown.rows_kept > 0 ? summaryText(shown) : QString());
    fillColumns(*columns_, shown.table);
    fillRows(*rows_, shown.table);
    const int odd = fillLines(*lines_, shown.table);
    tabs_->setTabText(2, odd == 0 ? tr("&Lines to look at") : tr("&Lines to look at (%1)").arg(odd));
    tabs_->setTabEnabled(2, odd > 0);
    if (shown.rows_kept > 0) {
        fillChoices(shown);
    }
}

void ImportDialog::fillChoices(const session::Preview& shown) {
    QStringList names;
    QStringList temperatures;
    for (const Channel& channel : shown.table.channels) {
        const QString name = text(channel.name);
        if (name.isEmpty()) {
            continue;
        }
        names += name;
        if (channel.unit.empty() || channel.unit == "degC" || channel.unit == "degF" || channel.unit == "K" ||
            channel.unit == "mV") {
            temperatures += name;
        }
    }
    filling_ = true;
    const QString time = time_->currentData().toString();
    if (!time.isEmpty() && !names.contains(time)) {
        names += time; // it is the clock now, and no value column
    }
    refill(time_, tr("As found"), names);
    refill(pot_, tr("As found"), temperatures);
    filling_ = false;
}

void ImportDialog::showState() {
    progress_->setVisible(reading_ >= 0);
    const auto readable = static_cast<int>(std::count_if(
        files_.begin(), files_.end(), [](const File& file) { return !file.preview || file.preview->faults.empty(); }));
    const bool all_read =
        std::all_of(files_.begin(), files_.end(), [](const File& file) { return file.preview != nullptr; });
    // A single file is waited for: what the importer makes of it is shown before anything is kept.
    import_->setEnabled(readable > 0 && all_read);
    if (files_.size() > 1) {
        import_->setText(readable == 1 ? tr("&Import 1 file") : tr("&Import %1 files").arg(readable));
    }
}

} // namespace potwatch::window
