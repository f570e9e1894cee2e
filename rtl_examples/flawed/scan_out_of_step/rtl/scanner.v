// Shows four digits one after the other, DWELL clocks each, on shared segment lines.
// select is one-hot, active high, bit 0 for the ones of the seconds.
module scanner #(
    parameter DWELL = 12_000
) (
    input  wire        clk,
    input  wire        rst_n,
    input  wire [15:0] digits,
    output reg  [3:0]  select,
    output reg  [6:0]  segments
);
    reg [13:0] dwell;
    reg [3:0]  shown;
    reg [6:0]  glyph;

    wire next = dwell == DWELL - 1;

    always @(posedge clk or negedge rst_n)
        if (!rst_n) begin
            dwell  <= 14'd0;
            select <= 4'b0001;
        end else if (next) begin
            dwell  <= 14'd0;
            select <= {select[2:0], select[3]};
        end else
            dwell  <= dwell + 14'd1;

    always @*
        case (select)
            4'b0001: shown = digits[3:0];
            4'b0010: shown = digits[7:4];
            4'b0100: shown = digits[11:8];
            default: shown = digits[15:12];
        endcase

    always @*
        case (shown)
            4'd0:    glyph = 7'h3f;
            4'd1:    glyph = 7'h06;
            4'd2:    glyph = 7'h5b;
            4'd3:    glyph = 7'h4f;
            4'd4:    glyph = 7'h66;
            4'd5:    glyph = 7'h6d;
            4'd6:    glyph = 7'h7d;
            4'd7:    glyph = 7'h07;
            4'd8:    glyph = 7'h7f;
            4'd9:    glyph = 7'h6f;
            default: glyph = 7'h00;
        endcase

    always @(posedge clk or negedge rst_n)
        if (!rst_n) segments <= 7'h3f;
        else        segments <= glyph;
endmodule
