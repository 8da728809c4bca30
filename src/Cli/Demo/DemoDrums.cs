using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Cli.Demo;

/// <summary>The demo's drums. Every method adds one stem's notes to a silent signal of <see cref="DemoScore.LengthFrames"/>.</summary>
internal static class DemoDrums
{
    private const int SampleRateHz = DemoScore.SampleRateHz;
    private const int TailFrames = SampleRateHz * 6 / 10;

    /// <summary>The second microphone stands further away: so late, and upside down.</summary>
    private const int BeaterLateFrames = 120;

    /// <summary>A sweep from above 200 Hz that settles at <see cref="DemoScore.KickHz"/>, and a short click.</summary>
    public static void Kick(Signal planes) => Thump(planes[0], lateFrames: 0, amplitude: 0.62, clickAmplitude: 0.12, ringHalfMs: 85, seed: 11);

    /// <summary>The same hits from the beater's side: more click, less ring, late and upside down, so that it cancels some of the kick.</summary>
    public static void Beater(Signal planes) =>
        Thump(planes[0], lateFrames: BeaterLateFrames, amplitude: -0.17, clickAmplitude: 0.2, ringHalfMs: 60, seed: 12);

    /// <summary>Two drum tones and a burst of noise, with a small room of its own noise on either side.</summary>
    public static void Snare(Signal planes)
    {
        var (body, left, right) = (new SeededNoise(21), new SeededNoise(22), new SeededNoise(23));
        foreach (var note in DemoScore.Snares)
        {
            for (var frame = 0; frame < TailFrames && note.StartFrame + frame < DemoScore.LengthFrames; frame++)
            {
                var seconds = frame / (double)SampleRateHz;
                var gate = Tone.Gate(frame, TailFrames, riseMs: 0.3, fallMs: 80);
                var skin = Tone.Decay(frame, 28) * (Tone.Sine(note.PitchHz * seconds) + (0.5 * Tone.Sine(1.6 * note.PitchHz * seconds)));
                var direct = gate * ((0.16 * skin) + (0.2 * Tone.Decay(frame, 34) * body.Next()));
                var room = gate * 0.045 * Tone.Decay(frame, 95);
                planes[0][note.StartFrame + frame] += direct + (room * left.Next());
                planes[1][note.StartFrame + frame] += direct + (room * right.Next());
            }
        }
    }

    /// <summary>Noise with its low part taken away by two differences, a little to the right.</summary>
    public static void Hats(Signal planes)
    {
        var noise = new SeededNoise(31);
        var (before, before2) = (0.0, 0.0);
        foreach (var note in DemoScore.Hats)
        {
            for (var frame = 0; frame < 2 * DemoScore.StepFrames; frame++)
            {
                var now = noise.Next();
                var bright = now - (2 * before) + before2;
                (before2, before) = (before, now);
                var sample = 0.055 * note.Strength * bright * Tone.Gate(frame, 2 * DemoScore.StepFrames, riseMs: 0.2, fallMs: 30)
                    * Tone.Decay(frame, note.LengthFrames * 250.0 / SampleRateHz);
                planes[0][note.StartFrame + frame] += 0.7 * sample;
                planes[1][note.StartFrame + frame] += sample;
            }
        }
    }

    private static void Thump(Span<double> plane, int lateFrames, double amplitude, double clickAmplitude, double ringHalfMs, ulong seed)
    {
        var noise = new SeededNoise(seed);
        foreach (var note in DemoScore.Kicks)
        {
            var (phaseCycles, smooth) = (0.0, 0.0);
            var start = note.StartFrame + lateFrames;
            for (var frame = 0; frame < TailFrames && start + frame < plane.Length; frame++)
            {
                smooth += 0.35 * (noise.Next() - smooth);
                var gate = Tone.Gate(frame, TailFrames, riseMs: 0.8, fallMs: 120);
                var ring = PortableMath.Tanh(1.4 * Tone.Sine(phaseCycles)) * Tone.Decay(frame, ringHalfMs);
                plane[start + frame] += gate * note.Strength * ((amplitude * ring) + (clickAmplitude * smooth * Tone.Decay(frame, 3)));
                phaseCycles += (note.PitchHz + (190 * Tone.Decay(frame, 9))) / SampleRateHz;
            }
        }
    }
}
