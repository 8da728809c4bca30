namespace RenderGraph.Nodes.Measures.Loudness;

/// <summary>Which frames lie in a window that begins at a hit; windows that touch are one.</summary>
internal sealed class HitWindows
{
    private readonly List<(long Start, long End)> _windows = [];

    /// <param name="hits">In order.</param>
    /// <param name="laterFrames">All windows are moved by this.</param>
    public HitWindows(IReadOnlyList<long> hits, int windowFrames, int laterFrames)
    {
        foreach (var hit in hits)
        {
            var (start, end) = (hit + laterFrames, hit + laterFrames + windowFrames);
            if (_windows.Count > 0 && start <= _windows[^1].End)
                _windows[^1] = (_windows[^1].Start, end);
            else
                _windows.Add((start, end));
        }
    }

    /// <summary>Whether a frame lies in one.</summary>
    public bool Contains(long frame) => IndexAt(frame) is var index && index < _windows.Count && _windows[index].Start <= frame;

    /// <summary>How many frames from one on are alike, at most so many.</summary>
    /// <param name="isInside">Whether they lie in a window.</param>
    public int Run(long frame, int most, out bool isInside)
    {
        var index = IndexAt(frame);
        isInside = index < _windows.Count && _windows[index].Start <= frame;
        var edge = index == _windows.Count ? long.MaxValue : isInside ? _windows[index].End : _windows[index].Start;
        return (int)Math.Min(most, edge - frame);
    }

    // The first window that ends behind the frame.
    private int IndexAt(long frame)
    {
        var (low, high) = (0, _windows.Count);
        while (low < high)
        {
            var middle = (low + high) / 2;
            (low, high) = _windows[middle].End > frame ? (low, middle) : (middle + 1, high);
        }

        return low;
    }
}
