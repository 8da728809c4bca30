using RenderGraph.Nodes.Dsp;
using RenderGraph.Nodes.Tests.Dynamics;
using Xunit;

namespace RenderGraph.Nodes.Tests.Dsp;

/// <summary>Against <see cref="DynamicsReference"/>.</summary>
public class SmoothDecoupledDetectorTests
{
    public static TheoryData<DynamicsReference> Cases { get; } = [.. DynamicsReference.All];

    [Theory]
    [MemberData(nameof(Cases))]
    public void SmoothsTheBurst(DynamicsReference expected)
    {
        var computer = new GainComputer(expected.ThresholdDb, expected.Ratio, expected.KneeDb);
        var reductionDb = DynamicsReference.Key[0].ToArray()
            .Select(sample => computer.ReductionDb(Math.Max(-120, 20 * Math.Log10(Math.Abs(sample)))))
            .ToArray();
        Detector(expected).Smooth(reductionDb);

        Assert.True(expected.BurstFrames.Length > 200);
        for (var index = 0; index < expected.BurstFrames.Length; index++)
            Assert.Equal(expected.BurstReductionDb[index], reductionDb[expected.BurstFrames[index]], 1e-6);
        Assert.Equal(expected.BurstSumDb, reductionDb.Sum(), 1e-3);
    }

    [Theory]
    [MemberData(nameof(Cases))]
    public void CoversSixtyThreePercentOfAStepInItsTimes(DynamicsReference expected)
    {
        const int Long = 48000;
        var reductionDb = new double[2 * Long];
        reductionDb.AsSpan(0, Long).Fill(12);
        Detector(expected).Smooth(reductionDb);

        // The reference counts frames, the first of the step being 1.
        Assert.Equal(expected.AttackFrames, 1 + Array.FindIndex(reductionDb, value => value >= 12 * (1 - Math.Exp(-1))));
        Assert.Equal(expected.ReleaseFrames, 1 + Array.FindIndex(reductionDb, Long, value => value <= 12 * Math.Exp(-1)) - Long);
    }

    [Fact]
    public void ComesToRestAtExactlyZero()
    {
        var detector = new SmoothDecoupledDetector(100, 100);
        var reductionDb = new double[5000];
        reductionDb[0] = 20;
        Assert.True(detector.IsAtRest);
        detector.Smooth(reductionDb.AsSpan(0, 100));
        Assert.False(detector.IsAtRest);
        detector.Smooth(reductionDb.AsSpan(100));
        Assert.True(detector.IsAtRest);
        Assert.Equal(0, reductionDb[^1]);
    }

    [Fact]
    public void RisesEvenWhenItsFirstStepsAreTiny()
    {
        var reductionDb = new double[2_000_000];
        reductionDb.AsSpan().Fill(1e-4);
        new SmoothDecoupledDetector(192000, 192000).Smooth(reductionDb);
        Assert.Equal(1e-4, reductionDb[^1], 1e-7);
    }

    private static SmoothDecoupledDetector Detector(DynamicsReference expected) => new(
        expected.AttackMs * DynamicsReference.SampleRateHz / 1000, expected.ReleaseMs * DynamicsReference.SampleRateHz / 1000);
}
