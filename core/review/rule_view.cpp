// SPDX-License-Identifier: GPL-3.0-or-later
#include "review/rule.h"

namespace fw {

RuleView RuleView::with(const Radio& radio, std::shared_ptr<const Study> overlay) const {
    RuleView v(m_study, m_limits, m_near);
    v.m_turned = radio;
    v.m_overlay = std::move(overlay);
    return v;
}

const Study& RuleView::numbers() const {
    if (!m_turned) return m_study;
    if (!m_overlay) {
        Hypothesis what;
        what.radio = m_turned;
        m_overlay = m_study.overlay(what);
    }
    return *m_overlay;
}

SmallCellPart RuleView::cell(ItemId small) const {
    const SmallCellPart* s = m_study.smallCell(small);
    if (!s) return {};
    SmallCellPart out = *s;
    if (m_turned && m_turned->id == out.radio) {
        const MountPart* m = m_study.mount(out.mount);
        out.azimuth = m_study.frame().toGrid(m_turned->azimuth, m ? m->at : PlanePoint{});
        out.tiltDeg = m_turned->tiltDeg;
    }
    return out;
}

std::string RuleView::called(const char* kind, ItemId id) const {
    const std::string label = name(id);
    return label.rfind(kind, 0) == 0 ? label : std::string(kind) + ' ' + label;
}

const IdentityNet& RuleView::identities() const {
    if (!m_net) m_net = std::make_shared<const IdentityNet>(reviewNetOf(m_study, m_limits));
    return *m_net;
}

Radio RuleView::radio(ItemId radio) const {
    if (m_turned && m_turned->id == radio) return *m_turned;
    const Radio* r = plan().radios.find(radio);
    return r ? *r : Radio{};
}

} // namespace fw
