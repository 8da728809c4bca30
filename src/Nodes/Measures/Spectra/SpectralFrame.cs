using NWaves.Transforms;
using RenderGraph.Nodes.Dsp;
using RenderGraph.Nodes.Measures.Bands;

namespace RenderGraph.Nodes.Measures.Spectra;

/// <summary>
/// Spectra of the low band: raised-cosine windows, and of the transform only the bins from the second to a little above 300 Hz. The scale is such that powers added over bins give the mean
/// square under the window: a full-scale sine is 0.5. Bins 0 and 1 are left out, so that a constant offset is nowhere to be seen.
/// </summary>
internal sealed class SpectralFrame
{
    /// <summary>The first bin kept.</summary>
    public const int FirstBin = 2;

    private readonly double[] _window;
    private readonly double _scale;
    private readonly int _transformFrames;

    /// <summary>Windows of a length, at a rate.</summary>
    public SpectralFrame(double windowSeconds, double sampleRateHz)
    {
        WindowFrames = (int)Math.Round(windowSeconds * sampleRateHz / 2) * 2;
        _transformFrames = 2;
        while (_transformFrames < WindowFrames)
            _transformFrames *= 2;

        StepHz = sampleRateHz / _transformFrames;
        BinCount = (((int)Math.Ceiling(ErbScale.HighestHz / StepHz) + 2 - FirstBin) / 4 * 4) + 4;
        _window = new double[WindowFrames];
        var power = 0.0;
        for (var frame = 0; frame < WindowFrames; frame++)
        {
            _window[frame] = (1 - PortableMath.Cos(2 * Math.PI * frame / WindowFrames)) / 2;
            power += _window[frame] * _window[frame];
        }

        // One-sided: every bin kept stands for two.
        _scale = Math.Sqrt(2 / (power * _transformFrames));
    }

    /// <summary>Length of a window, even.</summary>
    public int WindowFrames { get; }

    /// <summary>Distance between bins.</summary>
    public double StepHz { get; }

    /// <summary>Bins kept, a multiple of four.</summary>
    public int BinCount { get; }

    /// <summary>Centre of a bin kept.</summary>
    public double FrequencyHz(int bin) => (bin + FirstBin) * StepHz;

    /// <summary>A bin's share in a stretch of frequencies: 1 if it lies wholly inside.</summary>
    public double Share(int bin, double fromHz, double toHz)
    {
        var centre = FrequencyHz(bin);
        var (low, high) = (Math.Max(fromHz, centre - (StepHz / 2)), Math.Min(toHz, centre + (StepHz / 2)));
        return Math.Max(0, high - low) / StepHz;
    }

    /// <summary>The share of every bin in a stretch of frequencies.</summary>
    public double[] Shares(double fromHz, double toHz) => [.. Enumerable.Range(0, BinCount).Select(bin => Share(bin, fromHz, toHz))];

    /// <summary>A worker, for one thread.</summary>
    public Worker NewWorker() => new(this);

    /// <summary>Its transform and room to work in.</summary>
    internal sealed class Worker(SpectralFrame frame)
    {
        private readonly RealFft64 _transform = new(frame._transformFrames);
        private readonly double[] _windowed = new double[frame._transformFrames];
        private readonly double[] _real = new double[(frame._transformFrames / 2) + 1], _imaginary = new double[(frame._transformFrames / 2) + 1];

        /// <summary>The spectrum of the frames under one window.</summary>
        /// <returns>False, and nothing written, if they are all 0.</returns>
        public bool Of(ReadOnlySpan<double> samples, Span<double> real, Span<double> imaginary)
        {
            if (!samples.ContainsAnyExcept(0.0))
                return false;
            var window = frame._window;
            for (var index = 0; index < window.Length; index++)
                _windowed[index] = window[index] * samples[index];
            _windowed.AsSpan(window.Length).Clear();
            _transform.Direct(_windowed, _real, _imaginary);
            for (var bin = 0; bin < real.Length; bin++)
                (real[bin], imaginary[bin]) = (frame._scale * _real[bin + FirstBin], frame._scale * _imaginary[bin + FirstBin]);
            return true;
        }
    }
}
