using RenderGraph.Graph.Contracts;

namespace RenderGraph.Cli.Demo;

/// <summary>Outputs that are only measured: kept in memory, unrounded, and never written to disk.</summary>
internal sealed class MemoryOutputs : IAudioFiles
{
    private readonly Dictionary<string, Signal> _finished = new(StringComparer.Ordinal);

    /// <summary>What an output holds, by its name.</summary>
    public Signal this[string output] => _finished[output];

    /// <summary>Adds the sum of two mono outputs under a name of its own.</summary>
    public void Add(string name, Signal one, Signal other)
    {
        var sum = Signal.Allocate(1, one.Frames);
        for (var frame = 0; frame < one.Frames; frame++)
            sum[0][frame] = one[0][frame] + other[0][frame];
        _finished[name] = sum;
    }

    /// <inheritdoc/>
    public IStemReader? OpenStem(StemRequest request, StemReport report) => throw new NotSupportedException("Stems are opened elsewhere.");

    /// <inheritdoc/>
    public IStemReader ConvertRate(IStemReader stem, int sampleRateHz) => throw new NotSupportedException("Stems are opened elsewhere.");

    /// <inheritdoc/>
    public IOutputWriter CreateOutput(OutputFormat format) => new Writer(_finished, format);

    private sealed class Writer(Dictionary<string, Signal> finished, OutputFormat format) : IOutputWriter
    {
        private readonly Signal _signal = Signal.Allocate(format.Channels, (int)format.LengthFrames);
        private int _frames;

        public void Write(Signal signal)
        {
            signal.CopyTo(_signal.Slice(_frames, signal.Frames));
            _frames += signal.Frames;
        }

        public OutputSummary Finish()
        {
            var peak = 0.0;
            for (var channel = 0; channel < _signal.Channels; channel++)
            {
                foreach (var sample in _signal[channel])
                    peak = Math.Max(peak, Math.Abs(sample));
            }

            return new(_frames, peak, 0, "memory");
        }

        public void Commit() => finished[format.Name] = _signal;

        public void Dispose()
        {
            // Nothing is held but memory.
        }
    }
}
