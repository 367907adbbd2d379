// SPDX-License-Identifier: GPL-3.0-or-later
#include "dialogs/new_plan_dialog.h"

#include "base/text.h"
#include "plan/new_plan.h"
#include "theme/window_palette.h"

#include <QDate>
#include <QDateEdit>
#include <QDialogButtonBox>
#include <QDoubleSpinBox>
#include <QFormLayout>
#include <QLabel>
#include <QLineEdit>
#include <QLocale>
#include <QPushButton>
#include <QRegularExpression>
#include <QVBoxLayout>

#include <cmath>

namespace fw {

namespace {

Error notAPlace() {
    return {
        ErrorCode::badInput,
        CORE_TEXT("Write the place as latitude and longitude in degrees, for example 36.9312, -20.4187.")};
}

} // namespace

Result<GeoPoint> placeFromText(const QString& text) {
    static const QRegularExpression form(QStringLiteral(
        R"(^\s*([+-]?\d+(?:\.\d+)?)\s*°?\s*([NSns]?)\s*[,;\s]\s*([+-]?\d+(?:\.\d+)?)\s*°?\s*([EWew]?)\s*$)"));
    const auto match = form.match(text);
    if (!match.hasMatch()) return notAPlace();
    double lat = match.captured(1).toDouble(), lon = match.captured(3).toDouble();
    if (match.captured(2).compare(QLatin1String("s"), Qt::CaseInsensitive) == 0) lat = -lat;
    if (match.captured(4).compare(QLatin1String("w"), Qt::CaseInsensitive) == 0) lon = -lon;
    if (std::fabs(lat) > 90 || std::fabs(lon) > 180) return notAPlace();
    return GeoPoint{lat, lon};
}

Result<LoadedPlan> emptyPlan(const std::string& name, GeoPoint at, double sideM, Date date) {
    const auto frame = Frame::utmFor(at);
    if (!frame) return frame.error();
    const auto area = squareRound(*frame, at, sideM);
    if (!area) return area.error();
    auto plan = newPlan({name, frame->epsg(), date, *area});
    if (!plan) return plan.error();
    LoadedPlan out;
    out.plan = std::move(*plan);
    out.terrain = std::make_shared<const Terrain>();
    return out;
}

NewPlanDialog::NewPlanDialog(QWidget* parent)
    : QDialog(parent), m_name(new QLineEdit(this)), m_place(new QLineEdit(this)),
      m_sideKm(new QDoubleSpinBox(this)), m_date(new QDateEdit(QDate::currentDate(), this)),
      m_says(new QLabel(this)) {
    setWindowTitle(tr("New plan"));
    auto* page = new QVBoxLayout(this);
    auto* form = new QFormLayout;
    page->addLayout(form);
    form->addRow(tr("&Name"), m_name);
    form->addRow(tr("&Place"), m_place);
    form->addRow(tr("&Side of the ground"), m_sideKm);
    form->addRow(tr("&Date"), m_date);
    m_name->setText(tr("New plan"));
    m_place->setPlaceholderText(tr("latitude, longitude (WGS 84)"));
    m_place->setMinimumWidth(fontMetrics().averageCharWidth() * 40);
    m_sideKm->setRange(0.5, 20);
    m_sideKm->setValue(4);
    m_sideKm->setSuffix(tr(" km"));
    m_date->setCalendarPopup(true);
    m_says->setWordWrap(true);
    m_says->setText(
        tr("The plan is kept in the UTM zone of the place. The date decides the magnetic declination."));
    page->addWidget(m_says);
    auto* buttons = new QDialogButtonBox(QDialogButtonBox::Ok | QDialogButtonBox::Cancel, this);
    buttons->button(QDialogButtonBox::Ok)->setText(tr("Make the plan"));
    page->addWidget(buttons);
    connect(buttons, &QDialogButtonBox::accepted, this, &NewPlanDialog::accept);
    connect(buttons, &QDialogButtonBox::rejected, this, &QDialog::reject);
}

void NewPlanDialog::accept() {
    const auto refuse = [this](const Error& e, QWidget* where) {
        m_says->setText(QString::fromStdString(e.sentence()));
        QPalette p; // this role alone: the others follow the window
        p.setColor(QPalette::WindowText, windowPalette(palette()).accentText);
        m_says->setPalette(p);
        where->setFocus();
    };
    if (m_name->text().trimmed().isEmpty()) {
        refuse({ErrorCode::badInput, tr("Give the plan a name.").toStdString()}, m_name);
        return;
    }
    const auto at = placeFromText(m_place->text());
    if (!at) {
        refuse(at.error(), m_place);
        return;
    }
    const QDate d = m_date->date();
    auto made = emptyPlan(m_name->text().trimmed().toStdString(), *at, m_sideKm->value() * 1000,
                          {d.year(), d.month(), d.day()});
    if (!made) {
        refuse(made.error(), m_place);
        return;
    }
    m_plan = std::move(*made);
    QDialog::accept();
}

} // namespace fw
