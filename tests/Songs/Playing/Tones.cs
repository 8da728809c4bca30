using RenderGraph.Cli.Demo;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Songs.Playing;

/// <summary>Pitched parts.</summary>
internal static class Tones
{
    private static readonly double[] SubAmplitudes = [1, 0.06];
    private static readonly double[] StringAmplitudes = [1, 0.62, 0.4, 0.24, 0.2, 0.12, 0.09, 0.05, 0.04, 0.02];
    private static readonly double[] KeysAmplitudes = [1, 0.42, 0.2, 0.22, 0.06, 0.08];
    private static readonly double[] SawAmplitudes = [.. Enumerable.Range(1, 20).Select(harmonic => 0.75 / harmonic)];

    /// <summary>Long, nearly pure low notes.</summary>
    public static Signal Sub(Stage stage, IReadOnlyList<Note> notes, double amplitude) => Play(stage, notes, amplitude, SubAmplitudes, riseMs: 12, fallMs: 40, halfMs: 4000, drive: 0);

    /// <summary>A string that is plucked and dies away.</summary>
    public static Signal Plucked(Stage stage, IReadOnlyList<Note> notes, double amplitude, double halfMs = 260) =>
        Play(stage, notes, amplitude, StringAmplitudes, riseMs: 3, fallMs: 25, halfMs, drive: 0);

    /// <summary>A saw wave driven hard.</summary>
    public static Signal Driven(Stage stage, IReadOnlyList<Note> notes, double amplitude) => Play(stage, notes, amplitude, SawAmplitudes, riseMs: 4, fallMs: 30, halfMs: 500, drive: 2.2);

    /// <summary>Chords that are held, the two sides a little apart.</summary>
    public static Signal Keys(Stage stage, IReadOnlyList<Note> notes, double amplitude, double halfMs)
    {
        var sound = stage.Silence(2);
        Play(stage, sound[0], notes, amplitude, KeysAmplitudes, 5, 60, halfMs, 0, 0);
        Play(stage, sound[1], notes, amplitude, KeysAmplitudes, 5, 60, halfMs, 0, 0.07);
        return sound;
    }

    private static Signal Play(Stage stage, IReadOnlyList<Note> notes, double amplitude, double[] harmonics, double riseMs, double fallMs, double halfMs, double drive)
    {
        var sound = stage.Silence();
        Play(stage, sound[0], notes, amplitude, harmonics, riseMs, fallMs, halfMs, drive, 0);
        return sound;
    }

    private static void Play(
        Stage stage, Span<double> plane, IReadOnlyList<Note> notes, double amplitude, double[] harmonics, double riseMs, double fallMs, double halfMs, double drive, double apartCycles)
    {
        var fall = stage.FallPerFrame(halfMs);
        foreach (var note in notes)
        {
            var (start, frames) = stage.Place(note.Seconds, note.LengthSeconds);
            var level = amplitude * note.Strength;
            for (var frame = 0; frame < frames; frame++)
            {
                var wave = Tone.Harmonics((note.PitchHz * frame / stage.SampleRateHz) + apartCycles, harmonics);
                plane[start + frame] += stage.Gate(frame, frames, riseMs, fallMs) * level * (drive > 0 ? PortableMath.Tanh(drive * wave) : wave);
                level *= fall;
            }
        }
    }
}
