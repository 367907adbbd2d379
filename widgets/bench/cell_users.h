// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/working.h"
#include "document/workspace.h"

#include <QWidget>

#include <memory>

class QBoxLayout;
class QCheckBox;
class QScrollArea;

namespace fw {

class CqiHistogram;
class RingHistogram;

/// Where the users of the chosen macro cell are and how well they hear it, computed beside measured. A sector
/// or site stands for its fullest cell.
class CellUsers : public QWidget {
    Q_OBJECT
public:
    explicit CellUsers(Workspace& space, QWidget* parent = nullptr);
    ~CellUsers() override;

    /// The macro cell that the selection means; none where it means no macro.
    [[nodiscard]] static ItemId cellOf(const Plan& plan, ItemId chosen);

    [[nodiscard]] RingHistogram* rings() const { return m_rings; }
    [[nodiscard]] CqiHistogram* cqi() const { return m_cqi; }
    /// Of the whole plan: whether loads are spread as timing-advance histograms say; a step of the history.
    [[nodiscard]] QCheckBox* rake() const { return m_rake; }
    [[nodiscard]] ItemId cell() const { return m_cell; }
    /// Whether what is drawn is of the study in view.
    [[nodiscard]] bool current() const;

    [[nodiscard]] QSize minimumSizeHint() const override;

signals:
    void workingWanted(fw::Working working);

protected:
    void resizeEvent(QResizeEvent*) override;
    void showEvent(QShowEvent*) override;

private:
    struct Figures;
    void refresh();
    void take(const Figures& figures);
    void sayWhyNot();
    [[nodiscard]] QString jobKey() const;
    void showRake();
    void setRake(bool on);
    void openWorking(bool ofCqi, int cls);

    Workspace& m_space;
    QScrollArea* m_scroll;
    QCheckBox* m_rake;
    QBoxLayout* m_row;
    RingHistogram* m_rings;
    CqiHistogram* m_cqi;
    ItemId m_cell, m_askedCell;
    std::shared_ptr<const Study> m_asked;
    std::unique_ptr<const Figures> m_figures; ///< as drawn
};

} // namespace fw
