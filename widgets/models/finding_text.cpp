// SPDX-License-Identifier: GPL-3.0-or-later
#include "models/finding_text.h"

#include "models/finding_index.h"
#include "review/rule.h"
#include "text/figures.h"

#include <QCoreApplication>
#include <QStringList>

#include <algorithm>
#include <cmath>

namespace fw {

namespace {

class FindingWords {
    Q_DECLARE_TR_FUNCTIONS(FindingWords)
};

QString named(const Plan& plan, ItemId id) { return QString::fromStdString(plan.label(id)); }

} // namespace

QString quantityText(const Quantity& q) {
    const int decimals = std::fabs(q.value) >= 100 || q.unit == "%" ? 0 : 1;
    if (q.unit == "deg") return figure(q.value, {}, decimals) + QChar(u'°');
    return figure(q.value, QString::fromStdString(q.unit), decimals);
}

QString measuredText(const Finding& f) {
    if (f.measured.unit == "surveys") return FindingWords::tr("not surveyed yet");
    return FindingWords::tr("%1, limit %2").arg(quantityText(f.measured), quantityText(f.limit));
}

QString ruleTitle(const std::string& rule) {
    for (const Rule& r : rules())
        if (r.id == rule) return coreText(r.title);
    return QString::fromStdString(rule);
}

QString subjectsText(const Plan& plan, const Finding& f) {
    QStringList names;
    for (const ItemId id : f.subjects)
        if (plan.has(id)) names << named(plan, id);
    return names.join(QStringLiteral(", "));
}

QString standingText(const Plan& plan, const Finding& f) {
    QString word = standingWord(f.standing);
    const Waiver* w = f.waiver ? plan.waivers.find(f.waiver) : nullptr;
    if (!w || f.standing == Standing::open) return word;
    const QString reason = QString::fromStdString(w->reason), who = QString::fromStdString(w->who),
                  when = QString::fromStdString(w->when);
    if (who.isEmpty()) return FindingWords::tr("%1, because %2 (%3)").arg(word, reason, when);
    return FindingWords::tr("%1, because %2 (%3, %4)").arg(word, reason, who, when);
}

QString findingText(const Plan& plan, const Finding& f) {
    QStringList lines;
    lines << FindingWords::tr("%1: %2").arg(severityWord(f.severity), ruleTitle(f.rule));
    lines << coreText(f.text);
    lines << FindingWords::tr("Measured %1").arg(measuredText(f));
    lines << FindingWords::tr("About %1").arg(subjectsText(plan, f));
    lines << FindingWords::tr("Standing: %1").arg(standingText(plan, f));
    if (!f.source.empty()) lines << FindingWords::tr("Source of the limit: %1").arg(coreText(f.source));
    if (f.remedy) lines << FindingWords::tr("To clear it: %1").arg(coreText(f.remedy->text));
    return lines.join(QLatin1Char('\n')) + QLatin1Char('\n');
}

std::optional<Radio> remedied(const Plan& plan, const Finding& f) {
    if (!f.remedy || (!f.remedy->azimuthTrueDeg && !f.remedy->tiltDeg)) return std::nullopt;
    const Radio* r = plan.radios.find(f.remedy->radio);
    if (!r) return std::nullopt;
    Radio out = *r;
    if (f.remedy->azimuthTrueDeg) out.azimuth = TrueAzimuth::of(*f.remedy->azimuthTrueDeg);
    if (f.remedy->tiltDeg) out.tiltDeg = *f.remedy->tiltDeg;
    return out;
}

Edit remedyEdit(const Plan& plan, const Radio& r) {
    const QString name = named(plan, r.id);
    const Radio* before = plan.radios.find(r.id);
    const bool turns = before && before->azimuth != r.azimuth;
    const QString text = turns ? FindingWords::tr("Turn %1 to %2").arg(name, bearing(r.azimuth.deg))
                               : FindingWords::tr("Tilt %1 to %2").arg(name, bearing(r.tiltDeg));
    return Edit{text.toStdString(), {Put{r}}};
}

Finding staleFinding(const Waiver& w) {
    Finding f;
    f.rule = w.rule;
    f.severity = Severity::note;
    f.subjects = w.subjects;
    f.measured = {w.measured, w.unit};
    f.limit = {w.limit, w.unit};
    f.standing = Standing::stale;
    f.waiver = w.id;
    f.text = FindingWords::tr("There is nothing to keep here any more; the reason can go.").toStdString();
    return f;
}

} // namespace fw
