using NWaves.Transforms;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Measures;

/// <summary>
/// How loud the low bands of a signal are: mean power in each band over windows of about a third of a second (raised cosine, half overlapping), averaged over the
/// channels, in dBFS with a full-scale sine at -3.0. Neighbouring bands see about 6 Hz across their border. For reports only: it never steers a sound.
/// </summary>
public static class BandLevels
{
    private const double WindowSeconds = 0.34;
    private const double SilenceDbfs = -200;

    /// <summary>The bands: four in the low end, then everything else.</summary>
    public static IReadOnlyList<Band> Bands { get; } =
        [new("20-30 Hz", 20, 30), new("30-60 Hz", 30, 60), new("60-120 Hz", 60, 120), new("120-300 Hz", 120, 300), new("the rest", 0, double.PositiveInfinity)];

    /// <summary>Measures the whole signal.</summary>
    /// <returns>One level for each band; null where there is silence (under -200 dBFS).</returns>
    public static IReadOnlyList<double?> Of(Signal signal, int sampleRateHz)
    {
        var windowFrames = WindowFrames(sampleRateHz);
        var starts = new List<int>();
        for (var start = 0; start == 0 || start + (windowFrames / 2) < signal.Frames; start += windowFrames / 2)
            starts.Add(start);
        return Measure(signal, sampleRateHz, windowFrames, starts);
    }

    /// <summary>Measures one window from each of these frames on: what is there during hits, say. Windows are half as long, so that the hit fills them.</summary>
    /// <returns>One level for each band; null where there is silence (under -200 dBFS), and everywhere if there is no window.</returns>
    public static IReadOnlyList<double?> From(Signal signal, int sampleRateHz, IReadOnlyList<int> startFrames) =>
        Measure(signal, sampleRateHz, WindowFrames(sampleRateHz) / 2, startFrames);

    /// <summary>A power of two, as the transform wants it: 16,384 frames at 48 kHz.</summary>
    private static int WindowFrames(int sampleRateHz)
    {
        var frames = 2;
        while (frames < WindowSeconds * sampleRateHz)
            frames *= 2;
        return frames;
    }

    private static IReadOnlyList<double?> Measure(Signal signal, int sampleRateHz, int windowFrames, IReadOnlyList<int> starts)
    {
        var transform = new RealFft64(windowFrames);
        var window = new double[windowFrames];
        var windowPower = 0.0;
        for (var frame = 0; frame < windowFrames; frame++)
        {
            window[frame] = (1 - PortableMath.Cos(2 * Math.PI * frame / windowFrames)) / 2;
            windowPower += window[frame] * window[frame];
        }

        var bandOfBin = BandsOfBins(windowFrames, sampleRateHz);
        var powers = new double[Bands.Count];
        var (windowed, real, imaginary) = (new double[windowFrames], new double[(windowFrames / 2) + 1], new double[(windowFrames / 2) + 1]);
        foreach (var start in starts)
        {
            for (var channel = 0; channel < signal.Channels; channel++)
            {
                var plane = signal[channel];
                for (var frame = 0; frame < windowFrames; frame++)
                    windowed[frame] = start + frame < plane.Length ? window[frame] * plane[start + frame] : 0;
                transform.Direct(windowed, real, imaginary);
                for (var bin = 1; bin < bandOfBin.Length; bin++)
                    powers[bandOfBin[bin]] += (real[bin] * real[bin]) + (imaginary[bin] * imaginary[bin]);
            }
        }

        // One-sided: every bin but the first and last stands for two.
        var scale = 2 / (windowPower * windowFrames * Math.Max(1, starts.Count) * signal.Channels);
        return [.. powers.Select(power => power > 0 && 10 * LogOf(power * scale) is var level && level > SilenceDbfs ? level : (double?)null)];
    }

    private static int[] BandsOfBins(int windowFrames, int sampleRateHz)
    {
        var bands = new int[windowFrames / 2];
        for (var bin = 0; bin < bands.Length; bin++)
        {
            var frequencyHz = (double)bin * sampleRateHz / windowFrames;
            bands[bin] = Bands.TakeWhile(band => frequencyHz < band.FromHz || frequencyHz >= band.ToHz).Count();
        }

        return bands;
    }

    private static double LogOf(double power) => PortableMath.Log2(power) * 0.30102999566398120; // log10(2)
}

/// <summary>A stretch of frequencies.</summary>
/// <param name="Name">For a table.</param>
/// <param name="FromHz">Included.</param>
/// <param name="ToHz">Not included.</param>
public sealed record Band(string Name, double FromHz, double ToHz);
