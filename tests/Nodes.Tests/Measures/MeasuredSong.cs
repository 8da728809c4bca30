using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Measures.LowEnd;
using RenderGraph.Nodes.Measures.Stems;
using RenderGraph.Testing;

namespace RenderGraph.Nodes.Tests.Measures;

/// <summary>Songs to be measured, and the sounds that they are made of.</summary>
public static class MeasuredSong
{
    public const int SampleRateHz = 48000;

    /// <summary>Stems in memory, all from the song's start.</summary>
    public static IReadOnlyList<SongStem> Stems(int sampleRateHz, params (string Name, Signal Samples)[] stems)
    {
        var files = new MemoryAudioFiles();
        foreach (var (name, samples) in stems)
            files.With(name, samples, sampleRateHz);
        return [.. stems.Select(stem => new SongStem(stem.Name, files.OpenStem(new(stem.Name), (_, _, _, _) => { })!))];
    }

    public static LowEndMap Measure(params (string Name, Signal Samples)[] stems) => LowEndMap.Measure(Stems(SampleRateHz, stems), SampleRateHz, 2, default);

    /// <summary>A kick at each of these times: a sine that falls from 180 Hz to its frequency and dies away, as in tests/Reference/analysis.json.</summary>
    public static Signal Kick(double seconds, double frequencyHz, double amplitude, double[] times, double decaySeconds = 0.18, int sampleRateHz = SampleRateHz)
    {
        var signal = Signal.Allocate(1, (int)(seconds * sampleRateHz));
        foreach (var time in times)
        {
            var start = (int)Math.Round(time * sampleRateHz);
            for (var frame = start; frame < Math.Min(signal.Frames, start + (0.6 * sampleRateHz)); frame++)
            {
                var t = (frame - start) / (double)sampleRateHz;
                var cycles = (frequencyHz * t) + ((180 - frequencyHz) * 0.02 * (1 - Math.Exp(-t / 0.02)));
                signal[0][frame] += amplitude * Math.Min(1, t / 0.001) * Math.Exp(-t / decaySeconds) * Math.Sin(2 * Math.PI * cycles);
            }
        }

        return signal;
    }

    /// <summary>Times from the first on, evenly apart.</summary>
    public static double[] Beats(double first, double apart, int count) => [.. Enumerable.Range(0, count).Select(beat => first + (beat * apart))];

    /// <summary>Notes of a sine with two harmonics, one after another.</summary>
    public static Signal Bass(double seconds, double amplitude, params (double Start, double Length, double FrequencyHz)[] notes)
    {
        var signal = Signal.Allocate(1, (int)(seconds * SampleRateHz));
        foreach (var (start, length, frequencyHz) in notes)
        {
            for (var frame = (int)(start * SampleRateHz); frame < Math.Min(signal.Frames, (start + length) * SampleRateHz); frame++)
            {
                var t = (frame / (double)SampleRateHz) - start;
                var fade = Math.Clamp(Math.Min(t / 0.005, (length - t) / 0.01), 0, 1);
                for (var harmonic = 1; harmonic <= 3; harmonic++)
                    signal[0][frame] += amplitude * fade * Math.Sin(2 * Math.PI * harmonic * frequencyHz * t) / (harmonic * harmonic);
            }
        }

        return signal;
    }

    /// <summary>The signal so many frames later, as long as before.</summary>
    public static Signal Later(Signal signal, int frames) => Signals.Fill(signal.Channels, signal.Frames, (channel, frame) => frame >= frames && frame - frames < signal.Frames ? signal[channel][frame - frames] : 0);

    public static Signal Scaled(Signal signal, double amplitude) => Signals.Fill(signal.Channels, signal.Frames, (channel, frame) => amplitude * signal[channel][frame]);

    public static Signal Sum(Signal one, Signal other) => Signals.Fill(1, Math.Max(one.Frames, other.Frames), (_, frame) => (frame < one.Frames ? one[0][frame] : 0) + (frame < other.Frames ? other[0][frame] : 0));
}
