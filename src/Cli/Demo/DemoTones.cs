using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Cli.Demo;

/// <summary>The demo's pitched parts. Every method adds one stem's notes to a silent signal of <see cref="DemoScore.LengthFrames"/>.</summary>
internal static class DemoTones
{
    private const int SampleRateHz = DemoScore.SampleRateHz;

    private static readonly double[] SubAmplitudes = [1, 0.06];
    private static readonly double[] KeysAmplitudes = [1, 0.42, 0.2, 0.22, 0.06, 0.08];

    /// <summary>The edges of a mouth that says "ah": centre, width and weight.</summary>
    private static readonly (double CentreHz, double WidthHz, double Weight)[] Vowel = [(720, 130, 1), (1160, 160, 0.6), (2600, 300, 0.3), (3400, 350, 0.2)];

    /// <summary>A long, nearly pure low note that sits right on the kick's frequency.</summary>
    public static void Sub(Signal planes)
    {
        var phaseCycles = 0.0;
        foreach (var note in DemoScore.Sub)
        {
            for (var frame = 0; frame < note.LengthFrames; frame++)
            {
                planes[0][note.StartFrame + frame] += 0.3 * Tone.Gate(frame, note.LengthFrames, riseMs: 30, fallMs: 70) * Tone.Harmonics(phaseCycles, SubAmplitudes);
                phaseCycles += note.PitchHz / SampleRateHz;
            }
        }
    }

    /// <summary>A saw wave driven hard: it growls above, and brings a fundamental that nobody needs twice.</summary>
    public static void Grit(Signal planes)
    {
        Span<double> amplitudes = stackalloc double[36];
        for (var index = 0; index < amplitudes.Length; index++)
            amplitudes[index] = 0.75 / (index + 1);

        foreach (var note in DemoScore.Grit)
        {
            for (var frame = 0; frame < note.LengthFrames; frame++)
            {
                var envelope = note.Strength * Tone.Gate(frame, note.LengthFrames, riseMs: 4, fallMs: 45) * (0.55 + (0.45 * Tone.Decay(frame, 110)));
                var saw = Tone.Harmonics((note.PitchHz * frame / SampleRateHz) + 0.5, amplitudes);
                planes[0][note.StartFrame + frame] += 0.21 * envelope * PortableMath.Tanh(2.2 * saw);
            }
        }
    }

    /// <summary>Held chords, wide: the two sides' lowest notes are half a cycle apart, so that they vanish in mono.</summary>
    public static void Keys(Signal planes)
    {
        var ringFrames = DemoScore.BarSteps * DemoScore.StepFrames;
        foreach (var note in DemoScore.Keys)
        {
            var apartCycles = note.PitchHz < 120 ? 0.5 : 0.07;
            for (var frame = 0; frame < ringFrames; frame++)
            {
                var envelope = 0.065 * Tone.Gate(frame, ringFrames, riseMs: 6, fallMs: 90) * (0.3 + (0.7 * Tone.Decay(frame, 420)));
                var phaseCycles = note.PitchHz * frame / SampleRateHz;
                planes[0][note.StartFrame + frame] += envelope * Tone.Harmonics(phaseCycles, KeysAmplitudes);
                planes[1][note.StartFrame + frame] += envelope * Tone.Harmonics(phaseCycles + apartCycles, KeysAmplitudes);
            }
        }
    }

    /// <summary>A sung vowel with vibrato, and the rumble of somebody leaning on the microphone stand.</summary>
    public static void Voice(Signal planes)
    {
        Span<double> amplitudes = stackalloc double[14];
        foreach (var note in DemoScore.Voice)
        {
            for (var index = 0; index < amplitudes.Length; index++)
                amplitudes[index] = VowelAmplitude((index + 1) * note.PitchHz) / (1 + (0.15 * index));

            var phaseCycles = 0.0;
            for (var frame = 0; frame < note.LengthFrames; frame++)
            {
                var seconds = frame / (double)SampleRateHz;
                var vibrato = 1 + (0.006 * Tone.Gate(frame, note.LengthFrames, riseMs: 500, fallMs: 1) * Tone.Sine(5.4 * seconds));
                planes[0][note.StartFrame + frame] += 0.085 * Tone.Gate(frame, note.LengthFrames, riseMs: 45, fallMs: 90) * Tone.Harmonics(phaseCycles, amplitudes);
                phaseCycles += vibrato * note.PitchHz / SampleRateHz;
            }
        }

        AddRumble(planes[0]);
    }

    private static void AddRumble(Span<double> plane)
    {
        var noise = new SeededNoise(41);
        var (once, twice) = (0.0, 0.0);
        for (var frame = 0; frame < plane.Length; frame++)
        {
            once += 0.006 * (noise.Next() - once);
            twice += 0.006 * (once - twice);
            plane[frame] += 0.9 * twice * Tone.Gate(frame, plane.Length, riseMs: 200, fallMs: 200);
        }
    }

    private static double VowelAmplitude(double frequencyHz)
    {
        var sum = 0.04;
        foreach (var (centreHz, widthHz, weight) in Vowel)
        {
            var away = (frequencyHz - centreHz) / widthHz;
            sum += weight / (1 + (away * away));
        }

        return sum;
    }
}
