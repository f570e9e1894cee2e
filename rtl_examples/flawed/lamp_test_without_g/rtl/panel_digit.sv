// A digit of the front panel with lamp test and blanking, both active low as on the old panel,
// registered, synchronous reset to dark. Lamp test beats blanking.
module panel_digit (
    input  logic       clk,
    input  logic       rst,
    input  logic [3:0] digit,
    input  logic       blank_n,
    input  logic       lamp_test_n,
    output logic [6:0] seg
);
    function automatic logic [6:0] glyph(input logic [3:0] value);
        case (value)
            4'd0: return 7'h3f;
            4'd1: return 7'h06;
            4'd2: return 7'h5b;
            4'd3: return 7'h4f;
            4'd4: return 7'h66;
            4'd5: return 7'h6d;
            4'd6: return 7'h7d;
            4'd7: return 7'h27;
            4'd8: return 7'h7f;
            4'd9: return 7'h6f;
            default: return 7'h00;
        endcase
    endfunction

    always_ff @(posedge clk)
        if (rst)                seg <= '0;
        else if (!lamp_test_n)  seg <= 7'h3f;
        else if (!blank_n)      seg <= '0;
        else                    seg <= glyph(digit);
endmodule
