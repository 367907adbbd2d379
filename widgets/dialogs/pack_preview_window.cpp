// SPDX-License-Identifier: GPL-3.0-or-later
// How the preview of the pack looks; what it does stands in pack_preview.cpp.
#include "dialogs/pack_preview.h"

#include "dialogs/dialog_parts.h"
#include "dialogs/pack_sites.h"
#include "dialogs/page_column.h"
#include "text/figures.h"
#include "theme/window_palette.h"

#include <QCheckBox>
#include <QComboBox>
#include <QDateEdit>
#include <QDir>
#include <QEvent>
#include <QFileDialog>
#include <QFormLayout>
#include <QHBoxLayout>
#include <QLabel>
#include <QLineEdit>
#include <QProgressBar>
#include <QPushButton>
#include <QShortcut>
#include <QSplitter>
#include <QStandardPaths>
#include <QToolButton>
#include <QVBoxLayout>

namespace fw {

namespace {

QLabel* sentence(QWidget* parent) {
    auto* label = new QLabel(parent);
    label->setWordWrap(true);
    label->setTextFormat(Qt::RichText);
    label->setTextInteractionFlags(Qt::TextBrowserInteraction);
    label->setSizePolicy(QSizePolicy::Ignored, QSizePolicy::Minimum);
    return label;
}

QToolButton* button(const QString& text, const QString& name, const QString& tip, QWidget* parent) {
    auto* b = new QToolButton(parent);
    b->setText(text);
    b->setAccessibleName(name);
    b->setToolTip(tip);
    b->setAutoRaise(true);
    b->setMinimumWidth(b->fontMetrics().height() * 2);
    return b;
}

} // namespace

void PackPreview::makeWindow() {
    auto* page = new QHBoxLayout(this);
    page->setContentsMargins(0, 0, 0, 0);
    auto* parts = new QSplitter(this);
    parts->setChildrenCollapsible(false);
    parts->addWidget(makeChoice());
    parts->addWidget(makePages());
    parts->setStretchFactor(0, 0);
    parts->setStretchFactor(1, 1);
    page->addWidget(parts);
    const int em = fontMetrics().averageCharWidth();
    parts->setSizes({em * 44, em * 100});
    openAtSize(*this, {em * 146, fontMetrics().height() * 46});
    const auto zoom = [this](const QKeySequence& keys, void (PageColumn::*what)()) {
        connect(new QShortcut(keys, this), &QShortcut::activated, m_pages, what);
    };
    zoom(QKeySequence::ZoomIn, &PageColumn::zoomIn);
    zoom(QKeySequence::ZoomOut, &PageColumn::zoomOut);
    zoom(QKeySequence(Qt::CTRL | Qt::Key_0), &PageColumn::fitWidth);
    m_pages->setFocus();
}

QWidget* PackPreview::makeChoice() {
    auto* box = new QWidget(this);
    box->setMinimumWidth(fontMetrics().averageCharWidth() * 34);
    auto* column = new QVBoxLayout(box);
    m_sites = new PackSites(box);
    m_held = new QLabel(box);
    auto* all = new QPushButton(tr("Tick &all"), box);
    auto* none = new QPushButton(tr("&None"), box);
    for (QPushButton* b : {all, none}) b->setAutoDefault(false);
    connect(all, &QPushButton::clicked, m_sites, [this] { m_sites->tickAll(true); });
    connect(none, &QPushButton::clicked, m_sites, [this] { m_sites->tickAll(false); });
    auto* row = new QHBoxLayout;
    row->addWidget(m_held, 1);
    row->addWidget(all);
    row->addWidget(none);
    column->addWidget(m_sites, 1);
    column->addLayout(row);
    column->addSpacing(fontMetrics().height() / 2);
    column->addWidget(makeOptions());
    m_folderSays = sentence(box);
    column->addWidget(m_folderSays);
    column->addSpacing(fontMetrics().height() / 2);
    m_write = new QPushButton(tr("&Write pack"), box);
    m_write->setAutoDefault(false);
    column->addWidget(m_write);
    m_says = sentence(box);
    m_says->setAccessibleName(tr("What became of the writing"));
    m_says->hide();
    column->addWidget(m_says);
    return box;
}

QWidget* PackPreview::makeOptions() {
    auto* box = new QWidget(this);
    auto* form = new QFormLayout(box);
    form->setContentsMargins(0, 0, 0, 0);
    form->setFieldGrowthPolicy(QFormLayout::AllNonFixedFieldsGrow);
    m_paper = new QComboBox(box);
    m_paper->addItem(tr("A4, upright"), QPageSize::A4);
    m_paper->addItem(tr("Letter, upright"), QPageSize::Letter);
    m_paper->addItem(tr("A3, upright"), QPageSize::A3);
    m_number = new QLineEdit(QStringLiteral("1"), box);
    m_number->setMaxLength(24);
    m_date = new QDateEdit(QDate::currentDate(), box);
    m_date->setCalendarPopup(true);
    m_hillshade = new QCheckBox(tr("&Hillshade under the overview"), box);
    m_workings = new QCheckBox(tr("Wo&rkings after the sheets"), box);
    m_workings->setToolTip(tr("How the figures of cover and sheets came about, on pages of their own."));
    m_folder = new QLineEdit(box);
    auto* choose = new QPushButton(tr("&Choose..."), box);
    choose->setAutoDefault(false);
    choose->setAccessibleName(tr("Choose the folder"));
    connect(choose, &QPushButton::clicked, this, &PackPreview::chooseFolder);
    auto* folder = new QHBoxLayout;
    folder->addWidget(m_folder, 1);
    folder->addWidget(choose);
    form->addRow(tr("&Paper"), m_paper);
    form->addRow(tr("&Issue"), m_number);
    form->addRow(tr("&Date of issue"), m_date);
    form->addRow(QString(), m_hillshade);
    form->addRow(QString(), m_workings);
    form->addRow(tr("&Folder"), folder);
    static_cast<QLabel*>(form->labelForField(folder))->setBuddy(m_folder);
    return box;
}

QWidget* PackPreview::makePages() {
    auto* box = new QWidget(this);
    auto* column = new QVBoxLayout(box);
    column->setContentsMargins(0, 0, 0, 0);
    column->setSpacing(0);
    auto* head = new QHBoxLayout;
    const int pad = fontMetrics().height() / 2;
    head->setContentsMargins(pad, pad / 2, pad, pad / 2);
    m_place = new QLabel(box);
    m_place->setMinimumWidth(m_place->fontMetrics().horizontalAdvance(tr("page %1 of %2").arg(888).arg(888)));
    m_state = sentence(box);
    m_bar = new QProgressBar(box);
    m_bar->setTextVisible(false);
    m_bar->setRange(0, 100);
    m_bar->setFixedWidth(fontMetrics().averageCharWidth() * 16);
    m_bar->setMaximumHeight(fontMetrics().height() * 2 / 3);
    m_bar->setAccessibleName(tr("How far the sheets are"));
    m_cancel = new QPushButton(tr("&Stop"), box);
    m_cancel->setAutoDefault(false);
    m_pages = new PageColumn(box);
    auto* out = button(QString(QChar(0x2212)), tr("Smaller"), tr("Smaller (Ctrl and wheel, Ctrl+-)"), box);
    auto* in = button(QStringLiteral("+"), tr("Larger"), tr("Larger (Ctrl and wheel, Ctrl++)"), box);
    m_percent = button({}, tr("True size"), tr("True size"), box);
    m_percent->setMinimumWidth(fontMetrics().averageCharWidth() * 9);
    m_fit = button(tr("Fit width"), tr("Fit width"), tr("As wide as the window (Ctrl+0)"), box);
    m_fit->setCheckable(true);
    connect(out, &QToolButton::clicked, m_pages, &PageColumn::zoomOut);
    connect(in, &QToolButton::clicked, m_pages, &PageColumn::zoomIn);
    connect(m_percent, &QToolButton::clicked, m_pages, [this] { m_pages->setZoom(1); });
    connect(m_fit, &QToolButton::clicked, m_pages, [this] {
        m_pages->fitWidth();
        showPlace();
    });
    head->addWidget(m_place);
    head->addSpacing(pad);
    head->addWidget(m_state, 1);
    for (QWidget* w : std::initializer_list<QWidget*>{m_bar, m_cancel, out, m_percent, in, m_fit})
        head->addWidget(w);
    column->addLayout(head);
    column->addWidget(m_pages, 1);
    return box;
}

void PackPreview::say(QLabel* label, const QString& text, Tone tone) {
    m_tones[label] = tone;
    const WindowPalette& c = windowPalette(palette());
    QPalette p; // these roles alone: the others follow the window
    p.setColor(QPalette::WindowText, tone == Tone::trouble ? c.accentText
                                     : tone == Tone::plain ? c.ink
                                                           : c.inkSoft);
    p.setColor(QPalette::Link, c.focus);
    label->setPalette(p);
    if (label->text() != text) label->setText(text);
}

void PackPreview::sayState(const QString& text, Tone tone) { say(m_state, text, tone); }

void PackPreview::sayWriting(const QString& text, Tone tone) {
    say(m_says, text, tone);
    m_says->setVisible(!text.isEmpty());
}

void PackPreview::sayFolder() {
    const QString where = folder();
    std::error_code fault;
    const bool earlier =
        !where.isEmpty() && std::filesystem::exists(packFilesIn(where.toStdString()).sheets, fault);
    say(m_folderSays,
        earlier ? tr("The pack that is in this folder will be replaced.")
                : tr("Writes the sheets as PDF, and the works as GeoPackage, GeoJSON, KML and CSV."),
        Tone::soft);
}

// Absolute, "~/" taken for the home folder; empty where the text names no such folder.
QString PackPreview::folder() const {
    QString text = m_folder->text().trimmed();
    if (text == QLatin1String("~") || text.startsWith(QLatin1String("~/")))
        text = QDir::homePath() + text.mid(1);
    return QDir::isAbsolutePath(text) ? QDir::cleanPath(text) : QString();
}

void PackPreview::setFolder(const QString& folder) { m_folder->setText(QDir::toNativeSeparators(folder)); }

void PackPreview::suggestFolder() {
    if (!m_space.document.isOpen()) return;
    const std::filesystem::path& file = m_space.document.path();
    QString name = file.empty() ? m_space.document.title() : QString::fromStdString(file.filename().string());
    for (const char* ending : {".gpkg", ".plan"})
        if (name.endsWith(QLatin1String(ending), Qt::CaseInsensitive)) name.chop(5);
    name.replace(QLatin1Char('/'), QLatin1Char('-'));
    const QString beside =
        file.empty() ? QStandardPaths::writableLocation(QStandardPaths::DocumentsLocation)
                     : QString::fromStdString(std::filesystem::absolute(file).parent_path().string());
    setFolder(QDir(beside).filePath(tr("%1 pack", "folder of a plan's pack").arg(name)));
}

void PackPreview::chooseFolder() {
    QString from = folder();
    while (!from.isEmpty() && !QDir(from).exists() && from != QLatin1String("/"))
        from = QFileInfo(from).path();
    const QString chosen = QFileDialog::getExistingDirectory(this, tr("Folder of the pack"), from);
    if (!chosen.isEmpty()) setFolder(chosen);
}

void PackPreview::showProgress() {
    const bool busy = m_building || m_drawing;
    m_bar->setVisible(busy);
    m_cancel->setVisible(busy);
    if (busy) m_bar->setValue(static_cast<int>(m_share->load() * 100));
    m_pages->setStale(m_sheets && !current());
    m_write->setEnabled(m_writing || current());
    m_write->setToolTip(m_write->isEnabled() ? QString()
                                             : tr("Possible when the sheets are those of the plan."));
}

void PackPreview::showPlace() {
    const int pages = m_pages->pageCount();
    m_place->setText(pages ? tr("page %1 of %2").arg(m_pages->currentPage()).arg(pages) : tr("no pages"));
    m_percent->setText(percent(m_pages->zoom()));
    m_fit->setChecked(m_pages->fitsWidth());
}

void PackPreview::changeEvent(QEvent* event) {
    QDialog::changeEvent(event);
    if (event->type() != QEvent::PaletteChange || !m_says) return;
    for (auto it = m_tones.cbegin(); it != m_tones.cend(); ++it) {
        const QString text = it.key()->text();
        it.key()->clear(); // a link keeps the colour it was set with
        say(it.key(), text, it.value());
    }
}

} // namespace fw
