// SPDX-License-Identifier: GPL-3.0-or-later
#include "dialogs/basemap_dialog.h"

#include "geo/web_grid.h"
#include "intake/basemap.h"
#include "intake/tile_address.h"
#include "text/figures.h"
#include "theme/window_palette.h"

#include <QComboBox>
#include <QDialogButtonBox>
#include <QFileDialog>
#include <QFileInfo>
#include <QFormLayout>
#include <QLabel>
#include <QLineEdit>
#include <QPointer>
#include <QPushButton>
#include <QRadioButton>
#include <QSignalBlocker>
#include <QSpinBox>
#include <QVBoxLayout>

namespace fw {

namespace {

constexpr auto kLookJob = "look at basemap";

QLabel* wordsUnder(QWidget* parent) {
    auto* words = new QLabel(parent);
    words->setWordWrap(true);
    words->setTextFormat(Qt::PlainText);
    return words;
}

void soften(QLabel& words) {
    QPalette p; // this role alone: the others follow the window
    p.setColor(QPalette::WindowText, windowPalette(words.palette()).inkSoft);
    words.setPalette(p);
}

} // namespace

BasemapDialog::BasemapDialog(Workspace& space, QWidget* parent)
    : QDialog(parent), m_space(space), m_none(new QRadioButton(tr("&None"), this)),
      m_ofFile(new QRadioButton(tr("A &file on this machine"), this)),
      m_ofAddress(new QRadioButton(tr("Tiles from an &address"), this)), m_file(new QLineEdit(this)),
      m_address(new QLineEdit(this)), m_attribution(new QLineEdit(this)), m_says(wordsUnder(this)) {
    setWindowTitle(tr("Background map"));
    auto* page = new QVBoxLayout(this);
    page->addWidget(m_none);
    page->addWidget(m_ofFile);
    page->addWidget(m_filePart = fileRows());
    page->addWidget(m_ofAddress);
    page->addWidget(m_addressPart = addressRows());
    auto* form = new QFormLayout;
    form->addRow(tr("&Shown on the map as its source"), m_attribution);
    page->addSpacing(fontMetrics().height() / 2);
    page->addLayout(form);
    page->addWidget(m_says);
    page->addStretch(1);
    auto* buttons = new QDialogButtonBox(QDialogButtonBox::Ok | QDialogButtonBox::Cancel, this);
    page->addWidget(buttons);
    connect(buttons, &QDialogButtonBox::accepted, this, &BasemapDialog::accept);
    connect(buttons, &QDialogButtonBox::rejected, this, &QDialog::reject);
    for (QRadioButton* b : {m_none, m_ofFile, m_ofAddress})
        connect(b, &QRadioButton::toggled, this, &BasemapDialog::kindChanged);
    connect(m_attribution, &QLineEdit::textEdited, this, [this] { m_ownAttribution = true; });
    connect(&m_space.document, &PlanDocument::planReplaced, this, &QDialog::reject);
    readChoice();
    resize(fontMetrics().averageCharWidth() * 76, sizeHint().height());
}

BasemapDialog::~BasemapDialog() { m_space.jobs.cancel(QString::fromLatin1(kLookJob)); }

QWidget* BasemapDialog::fileRows() {
    auto* part = new QWidget(this);
    m_fileForm = new QFormLayout(part);
    m_fileForm->setContentsMargins(fontMetrics().height() * 3 / 2, 0, 0, 6);
    auto* line = new QHBoxLayout;
    m_choose = new QPushButton(tr("&Choose ..."), part);
    m_file->setAccessibleName(tr("File of the background map"));
    line->addWidget(m_file, 1);
    line->addWidget(m_choose);
    m_layer = new QComboBox(part);
    m_epsg = new QSpinBox(part);
    m_epsg->setRange(1, 999999);
    m_epsg->setGroupSeparatorShown(false);
    m_fileWords = wordsUnder(part);
    soften(*m_fileWords);
    m_fileForm->addRow(line);
    m_fileForm->addRow(tr("&Tiles"), m_layer);
    m_fileForm->addRow(tr("&EPSG code of its system"), m_epsg);
    m_fileForm->addRow(m_fileWords);
    connect(m_choose, &QPushButton::clicked, this, &BasemapDialog::askForFile);
    connect(m_file, &QLineEdit::textEdited, this, [this] {
        m_head.reset();
        m_fileTrouble.clear();
        m_layer->clear();
        m_fileForm->setRowVisible(m_epsg, false); // the next file may say it itself
        describe();
    });
    connect(m_file, &QLineEdit::editingFinished, this, [this] {
        if (!m_head && !m_looking && !m_file->text().isEmpty()) look();
    });
    connect(m_layer, &QComboBox::activated, this, &BasemapDialog::look);
    connect(m_epsg, &QSpinBox::editingFinished, this, &BasemapDialog::look);
    return part;
}

QWidget* BasemapDialog::addressRows() {
    auto* part = new QWidget(this);
    auto* form = new QFormLayout(part);
    form->setContentsMargins(fontMetrics().height() * 3 / 2, 0, 0, 6);
    m_address->setAccessibleName(tr("Address of the tiles"));
    m_address->setPlaceholderText(QStringLiteral("https://tiles.example.org/{z}/{x}/{y}.png"));
    m_from = new QSpinBox(part);
    m_to = new QSpinBox(part);
    for (QSpinBox* zoom : {m_from, m_to}) zoom->setRange(0, kMostWebZoom);
    m_from->setAccessibleName(tr("Coarsest zoom of the server"));
    m_to->setAccessibleName(tr("Finest zoom of the server"));
    auto* zooms = new QHBoxLayout;
    zooms->addWidget(m_from);
    zooms->addWidget(new QLabel(tr("to"), part));
    zooms->addWidget(m_to);
    zooms->addStretch(1);
    auto* words = wordsUnder(part);
    words->setText(
        tr("While it is shown, this server is asked for the tiles of every place you look at, and so "
           "learns where your plan lies. Nobody is asked while it is off. Tiles are kept on this "
           "machine, up to 256 MB. See that those who run the server allow this use."));
    soften(*words);
    form->addRow(m_address);
    auto* zoom = new QLabel(tr("&Zoom"), part);
    zoom->setBuddy(m_from);
    form->addRow(zoom, zooms);
    form->addRow(words);
    return part;
}

QRadioButton* BasemapDialog::kindButton(BasemapChoice::Kind kind) const {
    return kind == BasemapChoice::Kind::file      ? m_ofFile
           : kind == BasemapChoice::Kind::address ? m_ofAddress
                                                  : m_none;
}

BasemapChoice::Kind BasemapDialog::kind() const {
    return m_ofFile->isChecked()      ? BasemapChoice::Kind::file
           : m_ofAddress->isChecked() ? BasemapChoice::Kind::address
                                      : BasemapChoice::Kind::none;
}

void BasemapDialog::readChoice() {
    const BasemapChoice& c = m_space.basemap.choice();
    m_file->setText(c.file);
    m_address->setText(c.address);
    m_from->setValue(c.fromZoom);
    m_to->setValue(c.toZoom);
    m_epsg->setValue(c.epsg != 0 ? c.epsg : m_space.document.plan().settings->epsg);
    m_attribution->setText(c.attribution);
    m_ownAttribution = !c.attribution.isEmpty();
    kindButton(c.kind)->setChecked(true);
    kindChanged();
    m_fileForm->setRowVisible(m_epsg, c.epsg != 0);
    if (c.kind != BasemapChoice::Kind::file) {
        describe();
        return;
    }
    m_layer->addItem(c.layer);
    look();
}

void BasemapDialog::kindChanged() {
    m_filePart->setEnabled(m_ofFile->isChecked());
    m_addressPart->setEnabled(m_ofAddress->isChecked());
    m_attribution->setEnabled(!m_none->isChecked());
    m_says->clear();
}

void BasemapDialog::askForFile() {
    const QString file =
        QFileDialog::getOpenFileName(this, tr("Background map"), QFileInfo(m_file->text()).absolutePath(),
                                     tr("Pictures of the ground (*.tif *.tiff *.mbtiles *.gpkg *.asc *.hgt "
                                        "*.dt0 *.dt1 *.dt2);;All files (*)"));
    if (!file.isEmpty()) setFile(file);
}

void BasemapDialog::setFile(const QString& file) {
    m_ofFile->setChecked(true);
    m_file->setText(file);
    m_layer->clear();
    m_fileForm->setRowVisible(m_epsg, false);
    m_epsg->setValue(m_space.document.plan().settings->epsg);
    if (!m_ownAttribution) m_attribution->clear();
    look();
}

void BasemapDialog::look() {
    m_head.reset();
    m_fileTrouble.clear();
    m_looking = true;
    describe();
    const BasemapFile what{m_file->text().toStdString(), m_layer->currentText().toStdString(),
                           m_fileForm->isRowVisible(m_epsg) ? m_epsg->value() : 0};
    auto head = std::make_shared<std::optional<Result<BasemapHead>>>();
    m_space.jobs.start(
        QString::fromLatin1(kLookJob), tr("Looking at the background map"),
        [head, what, plan = m_space.document.frame()](const Job& job) {
            *head = lookAtBasemap(what, plan, job);
        },
        [self = QPointer<BasemapDialog>(this), head](Outcome outcome) {
            if (self && outcome == Outcome::done && *head) self->looked(**head);
        });
}

void BasemapDialog::looked(const Result<BasemapHead>& head) {
    m_looking = false;
    if (!head) {
        m_fileTrouble = QString::fromStdString(head.error().text);
        describe();
        return;
    }
    m_head = std::make_unique<BasemapHead>(*head);
    const QSignalBlocker quiet(m_layer);
    m_layer->clear();
    for (const std::string& name : m_head->layers) m_layer->addItem(QString::fromStdString(name));
    m_layer->setCurrentText(QString::fromStdString(m_head->layer));
    if (!m_head->system.known()) m_fileForm->setRowVisible(m_epsg, true);
    if (!m_ownAttribution) m_attribution->setText(QString::fromStdString(m_head->attribution));
    describe();
}

void BasemapDialog::describe() {
    m_fileForm->setRowVisible(m_layer, m_head && m_head->layers.size() > 1);
    if (m_looking) {
        m_fileWords->setText(tr("Looking at it ..."));
        return;
    }
    if (!m_head) {
        m_fileWords->setText(m_fileTrouble.isEmpty()
                                 ? tr("GeoTIFF, MBTiles, or a GeoPackage with tiles. It is only "
                                      "read, and stays where it is.")
                                 : m_fileTrouble);
        return;
    }
    QStringList words;
    words << QString::fromStdString(m_head->format) << QString::fromStdString(m_head->what);
    if (!m_head->crsName.empty()) words << QString::fromStdString(m_head->crsName);
    if (m_head->cellM > 0)
        //: %1 a length
        words << tr("%1 a pixel").arg(figure(m_head->cellM, QStringLiteral("m"), m_head->cellM < 10 ? 2 : 0));
    QString text = words.join(QStringLiteral(", ")) + QLatin1Char('.');
    for (const std::string& note : m_head->notes) text += QLatin1Char(' ') + QString::fromStdString(note);
    const Box& area = m_space.document.plan().settings->workArea;
    if (!m_head->extent.empty() && !area.empty() && !m_head->extent.meets(area))
        text += QLatin1Char(' ') + tr("It lies outside of the plan's work area.");
    m_fileWords->setText(text);
}

void BasemapDialog::refuse(const QString& why, QWidget* where) {
    m_says->setText(why);
    QPalette p; // this role alone: the others follow the window
    p.setColor(QPalette::WindowText, windowPalette(palette()).accentText);
    m_says->setPalette(p);
    where->setFocus();
}

void BasemapDialog::accept() {
    BasemapChoice c = m_space.basemap.choice();
    c.kind = kind();
    c.on = true;
    c.attribution = m_attribution->text().simplified();
    if (c.kind == BasemapChoice::Kind::file) {
        if (m_file->text().isEmpty()) return refuse(tr("Choose a file."), m_choose);
        if (m_looking) return refuse(tr("The file is still being looked at. Wait a moment."), m_file);
        if (!m_head && m_fileTrouble.isEmpty()) return look();
        if (!m_head) return refuse(tr("This file cannot be shown: %1").arg(m_fileTrouble), m_file);
        if (!m_head->system.known())
            return refuse(tr("Say by its EPSG code which coordinate system the file is in."), m_epsg);
        c.file = QFileInfo(m_file->text()).absoluteFilePath();
        c.layer = m_head->layers.size() > 1 ? QString::fromStdString(m_head->layer) : QString();
        c.epsg = m_fileForm->isRowVisible(m_epsg) ? m_epsg->value() : 0;
    } else if (c.kind == BasemapChoice::Kind::address) {
        const auto address = TileAddress::from(m_address->text().toStdString());
        if (!address) return refuse(QString::fromStdString(address.error().sentence()), m_address);
        if (m_from->value() > m_to->value())
            return refuse(tr("The first zoom is the coarser one: it cannot be more than the second."),
                          m_from);
        if (c.attribution.isEmpty())
            return refuse(
                tr("Name whose map it is, as those who run the server ask for it: it is shown on the "
                   "map."),
                m_attribution);
        c.address = QString::fromStdString(address->text());
        c.fromZoom = m_from->value();
        c.toZoom = m_to->value();
    }
    m_space.basemap.choose(c);
    QDialog::accept();
}

} // namespace fw
