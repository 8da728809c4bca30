using RenderGraph.Cli.Demo;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Songs.Playing;

/// <summary>Drums, each on a stem of its own.</summary>
internal static class Drums
{
    /// <summary>A sweep that settles at each note's pitch, and a click of the beater.</summary>
    public static Signal Kick(Stage stage, IReadOnlyList<Note> notes, double amplitude, double ringHalfMs, double sweepHz, double clickAmplitude, ulong seed)
    {
        var sound = stage.Silence();
        var plane = sound[0];
        var noise = new SeededNoise(seed);
        var (ringFall, sweepFall, clickFall) = (stage.FallPerFrame(ringHalfMs), stage.FallPerFrame(9), stage.FallPerFrame(2.5));
        foreach (var note in notes)
        {
            var (start, frames) = stage.Place(note.Seconds, 8 * ringHalfMs / 1000);
            var (cycles, ring, sweep, click, smooth) = (0.0, amplitude * note.Strength, sweepHz, clickAmplitude * note.Strength, 0.0);
            for (var frame = 0; frame < frames; frame++)
            {
                smooth += 0.35 * (noise.Next() - smooth);
                plane[start + frame] += stage.Gate(frame, frames, 0.8, 40) * ((ring * PortableMath.Tanh(1.4 * Tone.Sine(cycles))) + (click * smooth));
                cycles += (note.PitchHz + sweep) / stage.SampleRateHz;
                (ring, sweep, click) = (ring * ringFall, sweep * sweepFall, click * clickFall);
            }
        }

        return sound;
    }

    /// <summary>Two tones of the skin and the wires' noise.</summary>
    public static Signal Snare(Stage stage, IReadOnlyList<Note> notes, double amplitude, ulong seed)
    {
        var sound = stage.Silence();
        var plane = sound[0];
        var noise = new SeededNoise(seed);
        var (skinFall, wireFall) = (stage.FallPerFrame(28), stage.FallPerFrame(40));
        foreach (var note in notes)
        {
            var (start, frames) = stage.Place(note.Seconds, 0.4);
            var (skin, wire) = (0.5 * amplitude * note.Strength, 0.6 * amplitude * note.Strength);
            for (var frame = 0; frame < frames; frame++)
            {
                var seconds = (double)frame / stage.SampleRateHz;
                var tone = Tone.Sine(note.PitchHz * seconds) + (0.5 * Tone.Sine(1.6 * note.PitchHz * seconds));
                plane[start + frame] += stage.Gate(frame, frames, 0.3, 60) * ((skin * tone) + (wire * noise.Next()));
                (skin, wire) = (skin * skinFall, wire * wireFall);
            }
        }

        return sound;
    }

    /// <summary>A drum that sings on its note: toms.</summary>
    public static Signal Toms(Stage stage, IReadOnlyList<Note> notes, double amplitude, ulong seed) => Kick(stage, notes, amplitude, 110, 30, 0.1, seed);

    /// <summary>Bright noise: hats, shakers, cymbals.</summary>
    public static Signal Bright(Stage stage, IReadOnlyList<Note> notes, double amplitude, double halfMs, ulong seed, int channels = 1)
    {
        var sound = stage.Silence(channels);
        var fall = stage.FallPerFrame(halfMs);
        for (var channel = 0; channel < channels; channel++)
        {
            var plane = sound[channel];
            var noise = new SeededNoise(seed + (ulong)channel);
            var (before, before2) = (0.0, 0.0);
            foreach (var note in notes)
            {
                var (start, frames) = stage.Place(note.Seconds, 8 * halfMs / 1000);
                var level = amplitude * note.Strength;
                for (var frame = 0; frame < frames; frame++)
                {
                    var now = noise.Next();
                    plane[start + frame] += 0.4 * level * stage.Gate(frame, frames, 0.3, 20) * (now - (2 * before) + before2);
                    (before2, before) = (before, now);
                    level *= fall;
                }
            }
        }

        return sound;
    }
}
