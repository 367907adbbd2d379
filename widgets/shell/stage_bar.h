// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QAbstractButton>
#include <QWidget>

#include <vector>

namespace fw {

/// One stage of the job: its name with a count, and below how it stands, in words.
class StageButton : public QAbstractButton {
    Q_OBJECT
public:
    explicit StageButton(QWidget* parent = nullptr);
    void setWords(const QString& name, const QString& count, const QString& state);
    [[nodiscard]] QSize sizeHint() const override;
    [[nodiscard]] QSize minimumSizeHint() const override;

protected:
    void paintEvent(QPaintEvent*) override;
    void changeEvent(QEvent*) override;

private:
    [[nodiscard]] QFont nameFont() const;
    [[nodiscard]] QFont stateFont() const;
    QString m_name, m_count, m_state;
};

/// The six stages across the top of the window. Choosing one brings its table; choosing it again puts the
/// table away. Nothing is locked.
class StageBar : public QWidget {
    Q_OBJECT
public:
    StageBar(int stages, QWidget* parent = nullptr);
    void setWords(int stage, const QString& name, const QString& count, const QString& state);
    [[nodiscard]] int current() const { return m_current; } ///< -1: none
    void setCurrent(int stage);
    [[nodiscard]] StageButton* button(int stage) const { return m_buttons[static_cast<std::size_t>(stage)]; }

signals:
    void chosen(int stage); ///< -1 when the current one was put away

protected:
    void paintEvent(QPaintEvent*) override;
    void keyPressEvent(QKeyEvent*) override;

private:
    std::vector<StageButton*> m_buttons;
    int m_current = -1;
};

} // namespace fw
