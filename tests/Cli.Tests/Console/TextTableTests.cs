using RenderGraph.Cli.Console;
using Xunit;

namespace RenderGraph.Cli.Tests.Console;

public class TextTableTests
{
    [Fact]
    public void LinesUpColumnsAndWrapsTheLast()
    {
        using var writer = new StringWriter { NewLine = "\n" };
        new TextTable("name", ">level", "remark")
            .Add("kick", "-3.1", "the part that owns the low end of the whole song")
            .Add("bass-grit", "-12.0", "short")
            .WriteTo(writer, widthColumns: 46);
        Assert.Equal(
            """
              name       level  remark
              kick        -3.1  the part that owns the low
                                end of the whole song
              bass-grit  -12.0  short

            """, writer.ToString());
    }

    [Fact]
    public void WritesNothingWithoutRows()
    {
        using var writer = new StringWriter();
        new TextTable("name").WriteTo(writer, widthColumns: 80);
        Assert.Empty(writer.ToString());
    }
}
