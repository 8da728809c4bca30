using RenderGraph.Nodes.Dsp;
using RenderGraph.Testing;
using Xunit;

namespace RenderGraph.Nodes.Tests.Dsp;

/// <summary>Against the ideal delay, whose response is e^(-2 pi j f d): gain 1, phase linear.</summary>
public sealed class FractionalDelayTests
{
    public static TheoryData<double> Fractions => new(0.001, 0.1, 0.25, 0.5, 0.7, 0.9, 0.999);

    [Theory]
    [MemberData(nameof(Fractions))]
    public void UpTo20KilohertzAt44100TheGainIsOneAndTheDelayIsAsAsked(double fraction)
    {
        var impulse = Signals.Impulse(200);
        var output = Signals.Silence(200);
        new FractionalDelay(fraction, 200).Process(impulse[0], output[0]);

        var (worstDb, worstFrames) = (0.0, 0.0);
        for (var frequencyHz = 5.0; frequencyHz <= 20000; frequencyHz = Math.Min(frequencyHz * 1.02, frequencyHz + 100))
        {
            var response = Spectrum.At(output[0], frequencyHz, 44100);
            var radiansPerFrame = 2 * Math.PI * frequencyHz / 44100;
            var delayFrames = -Spectrum.PhaseDifferenceDegrees(response, -radiansPerFrame * (FractionalDelay.WholeFrames + fraction)) * Math.PI / 180 / radiansPerFrame;
            worstDb = Math.Max(worstDb, Math.Abs(Spectrum.MagnitudeDb(response)));
            worstFrames = Math.Max(worstFrames, Math.Abs(delayFrames));
        }

        Assert.InRange(worstDb, 0, 0.001);
        Assert.InRange(worstFrames, 0, 0.0001);
    }

    [Fact]
    public void AConstantStaysWhatItIs()
    {
        var output = Signals.Silence(300);
        new FractionalDelay(0.37, 300).Process(Signals.Constant(0.8, 300)[0], output[0]);
        Assert.Equal(0.8, output[0][299], 1e-15);
    }
}
