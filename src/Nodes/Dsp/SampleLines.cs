namespace RenderGraph.Nodes.Dsp;

/// <summary>Lines of samples in one array. Each has room for the newest frames and, before them, keeps as many past ones as its readers reach back for.</summary>
internal sealed class SampleLines
{
    private readonly int[] _pastFrames;
    private readonly int[] _starts;

    /// <param name="pastFrames">For each line.</param>
    public SampleLines(int[] pastFrames, int maxFrames)
    {
        _pastFrames = pastFrames;
        _starts = new int[pastFrames.Length];
        var end = 0;
        for (var line = 0; line < pastFrames.Length; line++)
        {
            _starts[line] = end + pastFrames[line];
            end = _starts[line] + maxFrames;
        }

        Samples = new double[end];
    }

    /// <summary>All lines.</summary>
    public double[] Samples { get; }

    /// <summary>Where in <see cref="Samples"/> a line's newest frames start.</summary>
    public int Start(int line) => _starts[line];

    /// <summary>A line's frames as they were so many frames ago; with no delay, where the newest are to be written.</summary>
    public Span<double> Frames(int line, int frames, int delayFrames = 0) => Samples.AsSpan(_starts[line] - delayFrames, frames);

    /// <summary>Makes the newest frames the past.</summary>
    public void Advance(int frames)
    {
        for (var line = 0; line < _starts.Length; line++)
        {
            var past = _pastFrames[line];
            Samples.AsSpan(_starts[line] - past + frames, past).CopyTo(Samples.AsSpan(_starts[line] - past));
        }
    }
}
