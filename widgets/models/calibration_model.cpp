// SPDX-License-Identifier: GPL-3.0-or-later
#include "models/calibration_model.h"

#include "text/figures.h"

#include <QLocale>

#include <algorithm>

namespace fw {

namespace {

QString counted(std::size_t n) { return QLocale().toString(static_cast<qulonglong>(n)); }

QString arrow(const QString& before, const QString& after) {
    //: a figure before and after
    return CalibrationModel::tr("%1 \u2192 %2").arg(before, after);
}

QString bothOf(const BeforeAfter& b, double ErrorFigures::*figureOf, bool withSign) {
    if (b.after.points == 0) return unknownFigure();
    const auto text = [&](double v) { return withSign ? signedFigure(v, {}, 1) : figure(v, {}, 1); };
    return arrow(text(b.before.*figureOf), text(b.after.*figureOf));
}

QVariant alignment(bool number) {
    return QVariant::fromValue(Qt::Alignment((number ? Qt::AlignRight : Qt::AlignLeft) | Qt::AlignVCenter));
}

} // namespace

CalibrationModel::CalibrationModel(PlanDocument& document, QObject* parent)
    : QAbstractTableModel(parent), m_document(document) {}

void CalibrationModel::setCalibration(Calibration calibration) {
    beginResetModel();
    m_calibration = std::move(calibration);
    m_any = true;
    endResetModel();
}

void CalibrationModel::clear() {
    beginResetModel();
    m_calibration = {};
    m_any = false;
    endResetModel();
}

ItemId CalibrationModel::cellAt(int row) const {
    const auto k = static_cast<std::size_t>(row - 1);
    return row < 1 || k >= m_calibration.cells.size() ? ItemId{} : m_calibration.cells[k].cell;
}

int CalibrationModel::rowOf(ItemId cell) const {
    for (int r = 1; r < rowCount(); ++r)
        if (cellAt(r) == cell) return r;
    return -1;
}

int CalibrationModel::rowCount(const QModelIndex& parent) const {
    return parent.isValid() || !m_any ? 0 : static_cast<int>(m_calibration.cells.size()) + 1;
}
int CalibrationModel::columnCount(const QModelIndex& parent) const {
    return parent.isValid() ? 0 : ColumnCount;
}

QString CalibrationModel::verdict(const CellCalibration& c) const {
    if (!c.fitted) return coreText(c.whyNot);
    QString text = tr("Standard error of the offset %1.").arg(figure(c.errorDb, QStringLiteral("dB"), 1));
    if (c.leftOut > 0)
        text +=
            QLatin1Char(' ') + tr("%n gross outliers have no weight.", nullptr, static_cast<int>(c.leftOut));
    if (c.heldOut.after.points == 0)
        text += QLatin1Char(' ') + tr("No square was held out to judge it by.");
    else if (c.heldOut.after.rmseDb >= c.heldOut.before.rmseDb)
        text += QLatin1Char(' ') + tr("No gain on the squares held out.");
    if (c.slopeDb)
        text += QLatin1Char(' ') + tr("Slope %1 \u00b1 %2 per tenfold distance; told, not applied.")
                                       .arg(signedFigure(*c.slopeDb, QStringLiteral("dB"), 1),
                                            figure(c.slopeErrorDb.value_or(0), QStringLiteral("dB"), 1));
    return text;
}

QString CalibrationModel::words(int row, int column) const {
    const bool all = row == 0;
    const Calibration& whole = m_calibration;
    const CellCalibration* c = all ? nullptr : &whole.cells[static_cast<std::size_t>(row - 1)];
    const BeforeAfter& fit = all ? whole.fittedOn : c->fittedOn;
    const BeforeAfter& held = all ? whole.heldOut : c->heldOut;
    switch (column) {
    case Name:
        return all ? tr("All fitted cells") : QString::fromStdString(m_document.plan().label(c->cell));
    case Points:
        return counted(all ? fit.after.points + held.after.points : c->points);
    case Squares:
        return all ? unknownFigure() : counted(c->squares);
    case Offset:
        if (all) return unknownFigure();
        return c->fitted
                   ? arrow(signedFigure(c->offsetBeforeDb, {}, 1), signedFigure(c->offsetAfterDb, {}, 1))
                   : tr("stays %1").arg(signedFigure(c->offsetBeforeDb, {}, 1));
    case FitMean:
        return bothOf(fit, &ErrorFigures::meanDb, true);
    case FitSigma:
        return bothOf(fit, &ErrorFigures::sigmaDb, false);
    case FitRmse:
        return bothOf(fit, &ErrorFigures::rmseDb, false);
    case HeldMean:
        return bothOf(held, &ErrorFigures::meanDb, true);
    case HeldSigma:
        return bothOf(held, &ErrorFigures::sigmaDb, false);
    case HeldRmse:
        return bothOf(held, &ErrorFigures::rmseDb, false);
    default:
        return all ? coreText(whole.verdict) : verdict(*c);
    }
}

QVariant CalibrationModel::data(const QModelIndex& index, int role) const {
    if (!checkIndex(index, CheckIndexOption::IndexIsValid)) return {};
    const int column = index.column();
    if (role == Qt::TextAlignmentRole) return alignment(column != Name && column != Verdict);
    if (role == Qt::AccessibleTextRole)
        return tr("%1: %2").arg(headerData(column, Qt::Horizontal, Qt::DisplayRole)
                                    .toString()
                                    .replace(QLatin1Char('\n'), QLatin1Char(' ')),
                                words(index.row(), column));
    if (role == Qt::DisplayRole || role == Qt::ToolTipRole) return words(index.row(), column);
    return {};
}

QVariant CalibrationModel::headerData(int section, Qt::Orientation way, int role) const {
    if (way != Qt::Horizontal) return {};
    if (role == Qt::TextAlignmentRole) return alignment(section != Name && section != Verdict);
    if (role == Qt::ToolTipRole && section >= FitMean && section <= HeldRmse)
        return tr("Measured less predicted, before \u2192 after; sigma about the mean");
    if (role != Qt::DisplayRole) return {};
    switch (section) {
    case Name:
        return tr("Cell");
    case Points:
        return tr("Points");
    case Squares:
        return tr("Squares");
    case Offset:
        return tr("Offset,\ndB");
    case FitMean:
        return tr("Fit\nmean, dB");
    case FitSigma:
        return tr("Fit\n\u03c3, dB");
    case FitRmse:
        return tr("Fit\nRMSE, dB");
    case HeldMean:
        return tr("Hold-out\nmean, dB");
    case HeldSigma:
        return tr("Hold-out\n\u03c3, dB");
    case HeldRmse:
        return tr("Hold-out\nRMSE, dB");
    default:
        return tr("Verdict");
    }
}

AzimuthModel::AzimuthModel(PlanDocument& document, QObject* parent)
    : QAbstractTableModel(parent), m_document(document) {}

void AzimuthModel::setAzimuths(std::vector<MeasuredAzimuth> azimuths) {
    beginResetModel();
    m_azimuths = std::move(azimuths);
    endResetModel();
}

int AzimuthModel::rowCount(const QModelIndex& parent) const {
    return parent.isValid() ? 0 : static_cast<int>(m_azimuths.size());
}
int AzimuthModel::columnCount(const QModelIndex& parent) const { return parent.isValid() ? 0 : ColumnCount; }

QVariant AzimuthModel::data(const QModelIndex& index, int role) const {
    if (!checkIndex(index, CheckIndexOption::IndexIsValid)) return {};
    const MeasuredAzimuth& m = at(index.row());
    if (role == Qt::TextAlignmentRole) return alignment(index.column() != Sector && index.column() != Says);
    if (role != Qt::DisplayRole && role != Qt::ToolTipRole) return {};
    switch (index.column()) {
    case Sector:
        return QString::fromStdString(m_document.plan().label(m.sector));
    case Inventory:
        return bearing(m.inventory.deg);
    case Measured:
        return m.known ? tr("%1 \u00b1 %2").arg(bearing(m.measured.deg), bearing(m.errorDeg))
                       : unknownFigure();
    case Difference:
        return m.known ? signedFigure(wrap180(m.measured.deg - m.inventory.deg), {}, 0) + QChar(u'\u00b0')
                       : unknownFigure();
    case Points:
        return counted(m.points);
    default:
        return m.differs ? tr("Look at this: %1").arg(coreText(m.text)) : coreText(m.text);
    }
}

QVariant AzimuthModel::headerData(int section, Qt::Orientation way, int role) const {
    if (way != Qt::Horizontal) return {};
    if (role == Qt::TextAlignmentRole) return alignment(section != Sector && section != Says);
    if (role != Qt::DisplayRole) return {};
    switch (section) {
    case Sector:
        return tr("Sector");
    case Inventory:
        return tr("Inventory, true");
    case Measured:
        return tr("Measured, true");
    case Difference:
        return tr("Difference");
    case Points:
        return tr("Points");
    default:
        return tr("What it says");
    }
}

} // namespace fw
