// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "canvas/ground_tint.h"

#include <QFrame>

#include <array>

class QCheckBox;
class QComboBox;
class QFormLayout;
class QSlider;
class QSpinBox;
class QToolButton;

namespace fw {

/// The card on the map's corner: what colours the ground and what that means; below a second fold what is
/// drawn and the signs. Folds to one line. It shows and sets Shown and keeps nothing itself.
class ShownCard : public QFrame {
    Q_OBJECT
public:
    ShownCard(Workspace& space, GroundTintSource& tint, QWidget* parent = nullptr);

    [[nodiscard]] bool folded() const { return !m_open; }
    void setFolded(bool folded);
    /// Of what is drawn and the signs; open at first only when asked.
    [[nodiscard]] bool layersFolded() const { return !m_layersOpen; }
    void setLayersFolded(bool folded);

    [[nodiscard]] QToolButton* foldButton() const { return m_fold; }
    [[nodiscard]] QToolButton* layersButton() const { return m_foldLayers; }
    [[nodiscard]] QComboBox* tintBox() const { return m_tint; }
    [[nodiscard]] QComboBox* carrierBox() const { return m_carrier; }
    [[nodiscard]] QComboBox* momentBox() const { return m_moment; }
    [[nodiscard]] QCheckBox* swipeBox() const { return m_swipe; }
    /// Of indoor coverage; seen only with it.
    [[nodiscard]] QComboBox* storeyBox() const { return m_storey; }
    [[nodiscard]] QSpinBox* indoorFromBox() const { return m_indoorFrom; }
    [[nodiscard]] QCheckBox* layerBox(MapLayer layer) const {
        return m_layers[static_cast<std::size_t>(layer)];
    }

    /// Of the background map; seen only when one has been chosen.
    [[nodiscard]] QCheckBox* basemapBox() const { return m_basemap; }
    [[nodiscard]] QSlider* basemapSlider() const { return m_strength; }
    [[nodiscard]] QToolButton* basemapButton() const { return m_otherBasemap; }

    static QString layerName(MapLayer layer);

signals:
    void foldedChanged(bool folded);
    void basemapWanted(); ///< somebody wants to choose another one

protected:
    void paintEvent(QPaintEvent*) override;

private:
    void buildGround(QWidget* body);
    void buildMoments(QWidget* body);
    void buildBasemap(QWidget* body);
    void buildLayers(QWidget* body);
    void readBasemap();
    void readShown();
    void readMoments();
    void readCarriers();
    void nameFolds();

    Workspace& m_space;
    QToolButton *m_fold = nullptr, *m_foldLayers = nullptr;
    QWidget *m_body = nullptr, *m_layerPart = nullptr;
    bool m_open = true, m_layersOpen = false;
    QComboBox *m_tint = nullptr, *m_carrier = nullptr;
    QComboBox *m_moment = nullptr, *m_storey = nullptr;
    QCheckBox* m_swipe = nullptr;
    QSpinBox* m_indoorFrom = nullptr;
    QFormLayout* m_groundForm = nullptr;
    QCheckBox* m_basemap = nullptr;
    QWidget* m_basemapRow = nullptr;
    QSlider* m_strength = nullptr;
    QToolButton* m_otherBasemap = nullptr;
    std::array<QCheckBox*, static_cast<std::size_t>(MapLayer::count)> m_layers{};
    QStringList m_carriers; ///< names in the box after "All carriers"
};

} // namespace fw
