// SPDX-License-Identifier: GPL-3.0-or-later
#include "canvas/tile_store.h"

#include <QCoreApplication>
#include <QMetaObject>
#include <QObject>

#include <algorithm>
#include <atomic>
#include <condition_variable>
#include <deque>
#include <map>
#include <set>
#include <thread>

namespace fw {

namespace {

/// A picture and the states it belongs to, counted by scene.
struct Entry {
    QImage image;
    std::uint64_t drawn = 0, needed = 0, used = 0;
};
struct Arrival {
    MapTileKey key;
    QImage image;
    std::uint64_t scene;
};
struct Running {
    MapTileKey key;
    std::uint64_t scene;
    std::atomic<bool> cancelled{false};
};

Box reachOf(const MapTileKey& key, double pixelRatio) {
    return key.bounds().grown(kTileReachPx * pixelRatio * key.metresPerPixel);
}

} // namespace

struct TileStore::Impl {
    std::function<void()> arrived;
    std::size_t mostBytes;

    // Of the window's thread.
    std::map<MapTileKey, Entry> entries;
    std::size_t bytes = 0;
    std::uint64_t clock = 0, allStale = 0;
    std::vector<std::pair<std::uint64_t, Box>> edits; ///< what went stale with which scene
    double pixelRatio = 1, pinned = 0;
    QObject receiver;

    // Shared with the workers.
    std::mutex mutex;
    std::condition_variable wake;
    std::shared_ptr<const TileScene> scene;
    std::uint64_t sceneNumber = 0;
    std::deque<MapTileKey> queue;
    std::vector<std::shared_ptr<Running>> running;
    std::vector<Arrival> done;
    bool posted = false, stopping = false;
    std::atomic<bool> paused{false};
    std::vector<std::thread> threads;

    void work();
    bool goOn(Running& job);
    void takeIn();
    void makeRoom();
    [[nodiscard]] std::uint64_t neededFor(const MapTileKey& key) const {
        std::uint64_t needed = allStale;
        const Box reach = reachOf(key, pixelRatio);
        for (const auto& [number, box] : edits)
            if (number > needed && box.meets(reach)) needed = number;
        return needed;
    }
    void useScene(std::shared_ptr<const TileScene> next) {
        pixelRatio = next->pixelRatio;
        const std::lock_guard hold(mutex);
        scene = std::move(next);
        ++sceneNumber;
    }
};

void TileStore::Impl::work() {
    std::unique_lock hold(mutex);
    for (;;) {
        wake.wait(hold, [this] { return stopping || (!queue.empty() && !paused); });
        if (stopping) return;
        auto job = std::make_shared<Running>();
        job->key = queue.front();
        job->scene = sceneNumber;
        queue.pop_front();
        running.push_back(job);
        std::shared_ptr<const TileScene> what = scene;
        hold.unlock();
        QImage image = drawTile(*what, job->key, [&] { return goOn(*job); });
        what.reset(); // the last holder of a plan takes it down: not under the lock
        hold.lock();
        running.erase(std::find(running.begin(), running.end(), job));
        if (stopping) return;
        if (image.isNull()) continue;
        done.push_back({job->key, std::move(image), job->scene});
        if (posted) continue;
        posted = true;
        QMetaObject::invokeMethod(
            &receiver, [this] { takeIn(); }, Qt::QueuedConnection);
    }
}

bool TileStore::Impl::goOn(Running& job) {
    if (paused) {
        std::unique_lock hold(mutex);
        wake.wait(hold, [&] { return !paused || stopping || job.cancelled; });
    }
    return !job.cancelled;
}

void TileStore::Impl::takeIn() {
    std::vector<Arrival> now;
    {
        const std::lock_guard hold(mutex);
        now.swap(done);
        posted = false;
    }
    for (Arrival& d : now) {
        Entry& e = entries[d.key];
        if (!e.image.isNull() && e.drawn > d.scene) continue;
        bytes +=
            static_cast<std::size_t>(d.image.sizeInBytes()) - static_cast<std::size_t>(e.image.sizeInBytes());
        e.image = std::move(d.image);
        e.drawn = d.scene;
        e.needed = neededFor(d.key);
        e.used = ++clock;
    }
    makeRoom();
    if (!now.empty() && arrived) arrived();
}

void TileStore::Impl::makeRoom() {
    if (bytes <= mostBytes) return;
    std::vector<std::pair<std::uint64_t, MapTileKey>> byUse;
    for (const auto& [key, e] : entries)
        if (key.metresPerPixel != pinned) byUse.emplace_back(e.used, key);
    std::sort(byUse.begin(), byUse.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
    for (const auto& [used, key] : byUse) {
        if (bytes <= mostBytes) break;
        const auto it = entries.find(key);
        bytes -= static_cast<std::size_t>(it->second.image.sizeInBytes());
        entries.erase(it);
    }
}

TileStore::TileStore(std::function<void()> arrived, unsigned threads, std::size_t mostBytes)
    : m_impl(std::make_unique<Impl>()) {
    m_impl->arrived = std::move(arrived);
    m_impl->mostBytes = mostBytes;
    const unsigned cores = std::thread::hardware_concurrency();
    const unsigned count = threads ? threads : std::max(2U, cores) - 1;
    for (unsigned i = 0; i < count; ++i)
        m_impl->threads.emplace_back([impl = m_impl.get()] { impl->work(); });
}

TileStore::~TileStore() {
    {
        const std::lock_guard hold(m_impl->mutex);
        m_impl->stopping = true;
        for (const auto& job : m_impl->running) job->cancelled = true;
    }
    m_impl->wake.notify_all();
    for (std::thread& t : m_impl->threads) t.join();
}

void TileStore::setScene(std::shared_ptr<const TileScene> scene, const std::vector<Box>& changed) {
    Impl& m = *m_impl;
    m.useScene(std::move(scene));
    for (const Box& box : changed)
        if (!box.empty()) m.edits.emplace_back(m.sceneNumber, box);
    if (m.edits.size() > 512) { // a long history is not worth more than drawing anew
        m.edits.clear();
        m.allStale = m.sceneNumber;
    }
    for (auto& [key, e] : m.entries) e.needed = std::max(e.needed, m.neededFor(key));
}

void TileStore::renew(std::shared_ptr<const TileScene> scene) {
    Impl& m = *m_impl;
    m.useScene(std::move(scene));
    m.edits.clear();
    m.allStale = m.sceneNumber;
    for (auto& [key, e] : m.entries) e.needed = m.sceneNumber;
}

void TileStore::replace(std::shared_ptr<const TileScene> scene) {
    Impl& m = *m_impl;
    {
        const std::lock_guard hold(m.mutex);
        m.queue.clear();
        m.done.clear();
        for (const auto& job : m.running) job->cancelled = true;
    }
    renew(std::move(scene));
    m.entries.clear();
    m.bytes = 0;
}

void TileStore::want(std::vector<MapTileKey> keys) {
    Impl& m = *m_impl;
    std::erase_if(keys, [this](const MapTileKey& key) { return fresh(key); });
    {
        const std::lock_guard hold(m.mutex);
        if (!m.scene) return;
        const std::set<MapTileKey> wanted(keys.begin(), keys.end());
        std::set<MapTileKey> atWork;
        const auto willDo = [&](const MapTileKey& key, std::uint64_t drawn) {
            return wanted.count(key) && drawn >= m.neededFor(key);
        };
        for (const auto& job : m.running)
            if (willDo(job->key, job->scene) && !job->cancelled)
                atWork.insert(job->key);
            else
                job->cancelled = true;
        for (const Arrival& d : m.done)
            if (willDo(d.key, d.scene)) atWork.insert(d.key);
        m.queue.clear();
        for (const MapTileKey& key : keys)
            if (!atWork.count(key)) m.queue.push_back(key);
    }
    m.wake.notify_all();
}

void TileStore::pin(double metresPerPixel) { m_impl->pinned = metresPerPixel; }

void TileStore::setPaused(bool paused) {
    if (m_impl->paused == paused) return;
    {
        const std::lock_guard hold(m_impl->mutex);
        m_impl->paused = paused;
    }
    m_impl->wake.notify_all();
}

const QImage* TileStore::picture(const MapTileKey& key) {
    const auto it = m_impl->entries.find(key);
    if (it == m_impl->entries.end()) return nullptr;
    it->second.used = ++m_impl->clock;
    return &it->second.image;
}

bool TileStore::fresh(const MapTileKey& key) const {
    const auto it = m_impl->entries.find(key);
    return it != m_impl->entries.end() && it->second.drawn >= it->second.needed;
}

std::vector<double> TileStore::resolutions() const {
    std::vector<double> out;
    for (const auto& [key, e] : m_impl->entries)
        if (out.empty() || out.back() != key.metresPerPixel) out.push_back(key.metresPerPixel);
    return out;
}

std::size_t TileStore::bytes() const { return m_impl->bytes; }

std::size_t TileStore::staleCount() const {
    return static_cast<std::size_t>(std::count_if(m_impl->entries.begin(), m_impl->entries.end(),
                                                  [](auto& e) { return e.second.drawn < e.second.needed; }));
}

} // namespace fw
