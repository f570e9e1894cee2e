// Segments {g .. a} out of a sixteen-word memory, one clock after the digit. No reset.
module glyph_rom (
    input  wire       clk,
    input  wire [3:0] digit,
    output reg  [6:0] segments
);
    reg [6:0] glyphs [0:15];

    initial $readmemh("rtl/glyphs.hex", glyphs);

    always @(posedge clk)
        segments <= glyphs[digit];
endmodule
