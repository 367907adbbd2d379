// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QFrame>

#include <functional>

class QLabel;
class QToolButton;

namespace fw {

/// A sentence in place: what was refused, what failed, what was mended. Stays until it is put away or the
/// next one comes; never in the way.
class NoticeLine : public QFrame {
    Q_OBJECT
public:
    enum class Tone { plain, trouble };
    explicit NoticeLine(QWidget* parent = nullptr);
    /// @param action  text of a button beside it, and what it does; empty: no button. The button puts the
    /// sentence away first.
    void say(const QString& sentence, Tone tone = Tone::plain, const QString& action = {},
             std::function<void()> act = {});
    void putAway();
    [[nodiscard]] QString text() const;

protected:
    void paintEvent(QPaintEvent*) override;

private:
    QLabel* m_text;
    std::function<void()> m_act;
    QToolButton *m_action, *m_close;
    Tone m_tone = Tone::plain;
};

} // namespace fw
