#include "pipeline/machine/worker_pool.h"

#include <system_error>

namespace tabard::pipeline {

WorkerPool::WorkerPool(int workers)
{
    try {
        for (int i = 0; i < workers; ++i)
            m_workers.emplace_back([this](std::stop_token closing) { work(closing); });
    } catch (std::system_error const&) { // the system has no more threads
    }
}

WorkerPool::~WorkerPool()
{
    for (std::jthread& worker : m_workers)
        worker.request_stop();
}

void WorkerPool::add(std::function<void()> task)
{
    if (m_workers.empty()) {
        task();
        return;
    }
    {
        std::lock_guard const lock(m_mutex);
        m_tasks.push_back(std::move(task));
    }
    m_has_task.notify_one();
}

void WorkerPool::work(std::stop_token const& closing)
{
    for (;;) {
        std::unique_lock lock(m_mutex);
        if (!m_has_task.wait(lock, closing, [this] { return !m_tasks.empty(); }) || closing.stop_requested())
            return;
        auto const task = std::move(m_tasks.front());
        m_tasks.pop_front();
        lock.unlock();
        task();
    }
}

} // namespace tabard::pipeline
