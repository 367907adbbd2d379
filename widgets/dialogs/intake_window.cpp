// SPDX-License-Identifier: GPL-3.0-or-later
// What the window of intake does; how it looks stands in intake_window_parts.cpp.
#include "dialogs/intake_window.h"

#include "dialogs/mapping_table.h"
#include "dialogs/raster_part.h"
#include "dialogs/remark_list.h"
#include "models/refusal_model.h"
#include "text/figures.h"

#include <QCheckBox>
#include <QComboBox>
#include <QFileInfo>
#include <QLabel>
#include <QLineEdit>
#include <QListWidget>
#include <QLocale>
#include <QProgressBar>
#include <QPushButton>
#include <QSaveFile>
#include <QTableView>

namespace fw {

IntakeWindow::IntakeWindow(Workspace& space, QWidget* parent)
    : QDialog(parent), m_space(space), m_files(space, this) {
    makeWindow();
    connect(&m_files, &IntakeFiles::listChanged, this, &IntakeWindow::listChanged);
    connect(&m_files, &IntakeFiles::changed, this, &IntakeWindow::fileChanged);
    connect(&m_space.document, &PlanDocument::keptChanged, this, &IntakeWindow::showFile);
    connect(&m_space.jobs, &JobBoard::changed, this, [this] {
        if (isVisible()) showState();
    });
    listChanged();
}

IntakeWindow::~IntakeWindow() = default;

void IntakeWindow::addFiles(const QStringList& files) {
    const int before = m_list->count();
    m_files.add(files);
    if (m_list->count() > before) m_list->setCurrentRow(before);
}

int IntakeWindow::current() const { return m_list->currentRow(); }

const IntakeFile* IntakeWindow::file() const {
    const int at = current();
    const auto& files = m_files.files();
    return at >= 0 && at < static_cast<int>(files.size()) ? &files[static_cast<std::size_t>(at)] : nullptr;
}

Box IntakeWindow::extent() const {
    const IntakeFile* f = file();
    if (!isVisible() || !f || f->taken) return {};
    if (f->raster && f->ground) return f->ground->taken.empty() ? f->ground->there : f->ground->taken;
    return f->preview ? f->preview->extent : Box{};
}

void IntakeWindow::listChanged() {
    const int at = current();
    m_filling = true;
    m_list->clear();
    for (const IntakeFile& f : m_files.files()) {
        auto* item = new QListWidgetItem(lineOf(f), m_list);
        item->setToolTip(f.path);
    }
    m_filling = false;
    m_list->setCurrentRow(std::clamp(at, m_list->count() > 0 ? 0 : -1, m_list->count() - 1));
    currentChanged();
}

void IntakeWindow::fileChanged(int file) {
    if (QListWidgetItem* item = m_list->item(file))
        item->setText(lineOf(m_files.files()[static_cast<std::size_t>(file)]));
    if (file == current()) showFile();
}

void IntakeWindow::currentChanged() {
    if (m_filling) return;
    if (current() >= 0) m_files.setCurrent(current());
    showFile();
}

void IntakeWindow::showFile() {
    const IntakeFile* f = file();
    m_empty->setVisible(!f);
    m_page->setVisible(f != nullptr);
    if (f) {
        m_head->setVisible(!f->raster);
        m_tables->setVisible(!f->raster);
        m_raster->setVisible(f->raster);
        if (f->raster) {
            m_raster->setFile(*f);
            m_remarks->setRemarks(f->ground ? f->ground->remarks : std::vector<IntakeRemark>{});
        } else {
            showRows(*f);
        }
    }
    showState();
    emit extentChanged();
}

void IntakeWindow::showRows(const IntakeFile& f) {
    m_filling = true;
    m_kind->setCurrentIndex(f.kind ? m_kind->findData(static_cast<int>(*f.kind)) : -1);
    const bool several = f.layers.size() > 1;
    m_layer->setVisible(several);
    m_layer->clear();
    for (const SourceLayer& layer : f.layers) m_layer->addItem(QString::fromStdString(layer.name));
    const std::string layer = f.preview ? f.preview->head.layer : f.request.source.layer;
    m_layer->setCurrentIndex(m_layer->findText(QString::fromStdString(layer)));
    if (!m_system->hasFocus())
        m_system->setText(f.request.epsg ? QString::number(f.request.epsg) : QString());
    m_swap->setChecked(f.request.swapAxes);
    m_remarks->setRemarks(f.preview ? f.preview->remarks : std::vector<IntakeRemark>{});
    m_mapping->setPreview(f.preview);
    m_filling = false;
    showRefused();
}

// What became of a raster, or what it would be taken in as.
QString IntakeWindow::rasterText(const IntakeFile& f) const {
    if (f.taking) return tr("Taking the raster in: it is written beside the plan ...");
    if (f.taken) return tr("Taken in. Undo takes it out again; its file stays beside the plan.");
    if (!f.ground) return tr("Reading the file ...");
    const RasterPreview& p = *f.ground;
    if (!p.head.least || !p.head.most) return tr("No cell of it holds anything.");
    const double low = *p.head.least * p.factor, high = *p.head.most * p.factor;
    switch (p.use) {
    case RasterUse::demand:
        return tr("Demand up to %1 a cell.").arg(QLocale().toString(high));
    case RasterUse::landCover:
        return tr("Classes of land cover: %1.")
            .arg(QLocale().toString(qulonglong(p.head.classShares.size())));
    case RasterUse::height:
        break;
    }
    return tr("Ground from %1 to %2.").arg(figure(low, tr("m"), 1), figure(high, tr("m"), 1));
}

QString IntakeWindow::stateText() const {
    const IntakeFile* f = file();
    if (!f) return {};
    if (!m_space.document.isOpen()) return tr("Open or make a plan first; files are taken into one.");
    if (!f->trouble.isEmpty()) return f->trouble;
    if (f->raster) return rasterText(*f);
    if (f->taking) return tr("Taking the rows in ...");
    if (!f->preview) return tr("Reading the file ...");
    const IntakePreview& p = *f->preview;
    const QLocale l;
    QString text = tr("%1 rows: %2 good, %3 refused", "counts of rows")
                       .arg(l.toString(qulonglong(p.rows)), l.toString(qulonglong(p.good)),
                            l.toString(qulonglong(p.refused)));
    if (p.duplicates > 0) text += tr(" (%1 of them twice)").arg(l.toString(qulonglong(p.duplicates)));
    QStringList items;
    for (const IntakeCount& c : p.counts) {
        const QString name = coreText(nameOf(c.kind));
        if (c.added > 0) items << tr("%1: %2 new").arg(name, l.toString(qulonglong(c.added)));
        if (c.changed > 0) items << tr("%1: %2 changed").arg(name, l.toString(qulonglong(c.changed)));
    }
    if (!items.isEmpty()) text += tr("; ", "between counts") + items.join(tr(", ", "between counts"));
    text += QLatin1Char('.');
    if (f->taken) text += QLatin1Char(' ') + tr("Taken in. Undo takes it out again.");
    return text;
}

void IntakeWindow::showState() {
    const IntakeFile* f = file();
    const bool busy = m_files.reading() || m_files.taking();
    m_state->setText(stateText());
    m_systemSays->setText(f && f->preview ? QString::fromStdString(f->preview->crs) : QString());
    m_bar->setVisible(busy);
    m_stop->setVisible(busy);
    if (busy) m_bar->setValue(static_cast<int>(m_files.progress() * 1000));
    const bool wantsFile = f && f->raster && m_raster->needsSaving();
    m_take->setEnabled(f && m_files.ready(current()) && !wantsFile && !m_files.taking() &&
                       !m_space.document.readOnly());
    m_show->setEnabled(!extent().empty());
    m_save->setEnabled(f && f->preview && f->preview->refused > 0);
}

void IntakeWindow::showRefused() {
    const IntakeFile* f = file();
    m_refusals->setPreview(f ? f->preview : nullptr);
    const std::size_t n = f && f->preview ? f->preview->refused : 0;
    m_refused->setVisible(n > 0);
    if (n == 0)
        m_refusedSays->setText(f && f->preview ? tr("No row is refused.") : QString());
    else if (n > f->preview->refusals.size())
        m_refusedSays->setText(tr("The first %1 of them are listed.")
                                   .arg(QLocale().toString(qulonglong(f->preview->refusals.size()))));
    else
        m_refusedSays->setText(tr("Save them to a file, mend them there, and take that in."));
}

void IntakeWindow::ask(const std::function<void(IntakeRequest&)>& how) {
    const IntakeFile* f = file();
    if (!f || m_filling) return;
    IntakeRequest request = f->request;
    if (f->raster) { // of answers to a table only the system is one to a raster
        RasterRequest ground = f->groundRequest;
        request.epsg = ground.epsg;
        how(request);
        ground.epsg = request.epsg;
        m_files.changeGround(current(), ground);
        return;
    }
    how(request);
    m_files.change(current(), request, f->kind);
}

void IntakeWindow::kindChosen() {
    const IntakeFile* f = file();
    if (!f || m_filling) return;
    IntakeRequest request = f->request;
    request.map.clear(); // fields of another kind
    m_files.change(current(), request, static_cast<IntakeKind>(m_kind->currentData().toInt()));
}

void IntakeWindow::systemEntered() {
    bool whole = false;
    const int code = m_system->text().trimmed().toInt(&whole);
    if (!whole && !m_system->text().trimmed().isEmpty()) {
        m_systemSays->setText(tr("Write the EPSG code as a number, for example 4326."));
        return;
    }
    const IntakeFile* f = file();
    if (f && f->request.epsg != code) ask([&](IntakeRequest& r) { r.epsg = code; });
}

void IntakeWindow::takeIn() {
    if (current() < 0) return;
    const int at = current();
    if (const Status s = m_files.takeIn(at); !s.ok()) {
        m_state->setText(coreText(s.error().sentence()));
        return;
    }
    if (m_files.files()[static_cast<std::size_t>(at)].taking) return; // its state is worth watching
    // On to the next one that waits.
    for (int k = 1; k < m_list->count(); ++k) {
        const int next = (at + k) % m_list->count();
        if (!m_files.files()[static_cast<std::size_t>(next)].taken) {
            m_list->setCurrentRow(next);
            return;
        }
    }
}

void IntakeWindow::saveRefused(const QString& name) {
    const IntakeFile* f = file();
    if (!f || !f->preview) return;
    QSaveFile out(name);
    const std::string csv = refusedAsCsv(*f->preview);
    const bool written =
        out.open(QIODevice::WriteOnly) &&
        out.write(csv.data(), static_cast<qint64>(csv.size())) == static_cast<qint64>(csv.size()) &&
        out.commit();
    m_refusedSays->setText(written ? tr("Written to %1.").arg(name)
                                   : tr("%1 cannot be written: %2.").arg(name, out.errorString()));
}

void IntakeWindow::showEvent(QShowEvent* e) {
    QDialog::showEvent(e);
    showFile();
}

void IntakeWindow::hideEvent(QHideEvent* e) {
    QDialog::hideEvent(e);
    emit extentChanged();
}

} // namespace fw
